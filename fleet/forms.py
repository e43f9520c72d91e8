"""What people type about meshes, made clean."""

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.template.defaultfilters import filesizeformat

from fleet.models import Mesh, PushToken
from sites.forms import CodeField


class MeshForm(forms.ModelForm):
    class Meta:
        model = Mesh
        fields = ("code", "name", "safety_relevant", "in_care", "keep_rule", "controller", "connection_path")
        labels = {
            "code": "Code of the mesh",
            "name": "Part of the home",
            "safety_relevant": "It holds locks, heating, smoke, water or gas alarms, or calls for help",
            "in_care": "In care: the rounds judge it",
            "controller": "Controller",
            "connection_path": "Path of the radio on the controller",
        }
        help_texts = {
            "code": "The home's code, a dash and one letter, such as KELP-7-A. It stays for good.",
            "name": "Such as west annex. Empty where there is one mesh only.",
            "safety_relevant": "",
            "keep_rule": "Empty: the book's own rule.",
        }
        field_classes = {"code": CodeField}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.fields["code"].disabled = True  # it is printed on sheets

    def clean_code(self) -> str:
        """A mesh's code begins with its home's."""
        code, home = self.cleaned_data["code"], self.instance.site.code
        if code.rpartition("-")[0] != home:
            raise ValidationError(
                f"{code} is no code of {home}; write {home} and a letter, such as {home}-A."
            )
        return code


class SnapshotForm(forms.Form):
    """A document to take in. What is in it is for the intake to judge; only its size is checked here."""

    document = forms.FileField(label="Snapshot file", allow_empty_file=True)

    def clean_document(self) -> UploadedFile:
        document = self.cleaned_data["document"]
        if document.size > settings.INTAKE_LIMIT:
            raise ValidationError(
                f"The file has {filesizeformat(document.size)}; this book takes up to "
                f"{filesizeformat(settings.INTAKE_LIMIT)}."
            )
        return document


class PushTokenForm(forms.ModelForm):
    class Meta:
        model = PushToken
        fields = ("label",)
        labels = {"label": "Which machine will push"}
        help_texts = {"label": "Such as the controller's name. A token for each machine."}
