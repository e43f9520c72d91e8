"""What people type about meshes and their devices, made clean."""

import unicodedata
from datetime import date

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.core.validators import MaxValueValidator
from django.db.models import QuerySet
from django.template.defaultfilters import filesizeformat

from fleet.mesh.codes import CodeError, read_code
from fleet.models import KeepRule, Mesh, Node, PushToken, SafetyKind, WifiHeard, Wishes
from fleet.planning import reaching
from fleet.planning.events import Kind
from fleet.planning.keeping import MOST
from sites import access
from sites.forms import CodeField, SecondPerson, zones_by_region
from sites.models import Client


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
            "keep_rule": "Empty: the client's rule, or the book's own.",
        }
        field_classes = {"code": CodeField}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.fields["code"].disabled = True  # it is printed on sheets
            del self.fields["keep_rule"]  # on a page of its own, which shows the effect first

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


class WifiHeardForm(forms.ModelForm):
    """One Wi-Fi network of a survey, as an analyser shows it."""

    class Meta:
        model = WifiHeard
        fields = ("channel", "level_dbm", "busy_percent", "width")
        labels = {
            "channel": "Wi-Fi channel",
            "level_dbm": "Level in dBm",
            "busy_percent": "Busy, in % of the time",
            "width": "Width",
        }
        help_texts = {
            "channel": "1 to 14.",
            "level_dbm": "Such as -62; nearer to 0 is stronger.",
            "busy_percent": "Where the analyser does not say: 30 by day in a street, 10 far from others.",
        }


class PushTokenForm(forms.ModelForm):
    class Meta:
        model = PushToken
        fields = ("label",)
        labels = {"label": "Which machine will push"}
        help_texts = {"label": "Such as the controller's name. A token for each machine."}


class DeviceForm(forms.ModelForm):
    """What people know of a device that no copy says. today: the day at the home."""

    class Meta:
        model = Node
        fields = (
            "label",
            "room",
            "kind",
            "safety_kind",
            "by_hand",
            "wake",
            "battery",
            "tested_by_hand_on",
        )
        labels = {
            "label": "What people call it",
            "safety_kind": "Safety kind",
            "battery": "Batteries, type and count",
            "tested_by_hand_on": "Last tested by hand, with the people in the house",
        }
        help_texts = {
            "label": "It stays, whatever later copies call the device. With name and room empty, copies name it.",
            "safety_kind": "Does it guard people or the house? Then it needs a way to do without it, and a test "
            "by hand after every swap.",
            "by_hand": "Such as: key from outside, thumb turn from inside.",
            "wake": "Such as: hold the test button until it chirps.",
            "battery": "Such as: AA x 2.",
        }
        widgets = {
            **{name: forms.TextInput(attrs={"dir": "auto"}) for name in ("label", "room", "kind")},
            **{name: forms.Textarea(attrs={"dir": "auto", "rows": 2}) for name in ("by_hand", "wake")},
            "tested_by_hand_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }

    def __init__(self, *args: object, today: date, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["safety_kind"].choices = [("", "none of these"), *SafetyKind.choices]

    def clean_tested_by_hand_on(self) -> date | None:
        day = self.cleaned_data["tested_by_hand_on"]
        if day and day > self.today:
            raise ValidationError(
                f"{day:%Y-%m-%d} is still to come; write a day up to {self.today:%Y-%m-%d}."
            )
        return day


class InstallCodeForm(forms.Form):
    """A code as typed; whether it can be right is for the verb to say."""

    code = forms.CharField(
        label="Install code, with its four check digits",
        max_length=200,
        help_text="As printed on the device or its box. Spaces, dashes and capitals do not matter.",
        widget=forms.Textarea(
            attrs={
                "class": "secret",
                "rows": 3,
                "autocomplete": "off",
                "autocapitalize": "characters",
                "autocorrect": "off",
                "spellcheck": "false",
                "inputmode": "text",
                "dir": "ltr",
            }
        ),
    )


class ReasonForm(forms.Form):
    """Why something is done that the journal must explain."""

    reason = forms.CharField(
        max_length=200,
        help_text="A few words; they go into the journal with your name.",
        widget=forms.TextInput(attrs={"dir": "auto", "autocomplete": "off"}),
    )

    def __init__(self, *args: object, question: str = "Reason", **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].label = question


RULE_NUMBERS = {
    "days": (0, MOST),
    "weeks": (0, MOST),
    "months": (0, MOST),
    "years": (0, MOST),
    "grace_days": (0, MOST),
    "freshness_hours": (1, 8760),
}


class KeepRuleForm(forms.ModelForm):
    """A keep rule's numbers. Making another rule the book's own takes that away from the one that was."""

    class Meta:
        model = KeepRule
        fields = ("name", "days", "weeks", "months", "years", "grace_days", "freshness_hours", "is_default")
        labels = {
            "days": "Days: the latest copy of each of the last",
            "weeks": "ISO weeks: the latest of each of the last",
            "months": "Months: the latest of each of the last",
            "years": "Years: the latest of each of the last",
            "grace_days": "Days between marked and erased",
            "freshness_hours": "The newest sound copy may be so many hours old",
            "is_default": "The book's own rule, for all that chose none",
        }
        help_texts = {
            "days": "Only days, weeks, months and years that hold a copy count.",
            "grace_days": "",
            "freshness_hours": "Where no agreement promises less.",
        }
        error_messages = {
            name: dict.fromkeys(
                ("min_value", "max_value"), f"%(show_value)s cannot be; write {least} to {most}."
            )
            for name, (least, most) in RULE_NUMBERS.items()
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for name, (_, most) in RULE_NUMBERS.items():
            self.fields[name].validators.append(MaxValueValidator(most))

    def clean_is_default(self) -> bool:
        wanted: bool = self.cleaned_data["is_default"]
        if self.initial.get("is_default") and not wanted:
            raise ValidationError(
                "The book needs a rule of its own: make another one the book's own instead."
            )
        return wanted


class RuleChoiceForm(forms.Form):
    """Which rule a client or a mesh goes by; none leaves it to the client's, or the book's."""

    rule = forms.ModelChoiceField(
        KeepRule.objects.all(), label="Keep rule", required=False, empty_label="None of its own"
    )


class ClearForm(ReasonForm):
    """Why a document leaves the tray, and whether what it holds is erased with it."""

    erase = forms.BooleanField(required=False, label="Erase what it holds, for good")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, question="Why is it cleared", **kwargs)


class SendForm(forms.Form):
    """The mesh that a document in the tray is for; cleaned_data holds the Mesh. meshes: those that are open."""

    mesh = CodeField(
        label="Code of the mesh",
        max_length=20,
        help_text="Such as KELP-7-A.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )

    def __init__(self, *args: object, meshes: QuerySet[Mesh], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.meshes = meshes

    def clean_mesh(self) -> Mesh:
        try:
            code = read_code(self.cleaned_data["mesh"])
        except CodeError as error:
            raise ValidationError(str(error)) from None
        mesh = self.meshes.select_related("site__client").filter(code=code).first()
        if mesh is None:
            raise ValidationError(f"There is no mesh {code} in this book.")
        return mesh


class EraseForm(ReasonForm, SecondPerson):
    """The question before a client is erased: why, the client's name in full, and the second person."""

    allowed = staticmethod(access.may_decide)

    client_name = forms.CharField(
        label="The client's name, or the code of a home",
        max_length=200,
        help_text="In full, so that nobody erases the wrong one.",
        widget=forms.TextInput(attrs={"dir": "auto", "autocomplete": "off"}),
    )
    field_order = ("reason", "client_name", "second_name", "second_password")

    def __init__(self, *args: object, client: Client, **kwargs: object) -> None:
        super().__init__(*args, question="Why is this client erased", **kwargs)
        self.client = client

    def clean_client_name(self) -> str:
        typed = self.cleaned_data["client_name"]
        codes = self.client.sites.values_list("code", flat=True)
        if _folded(typed) not in {_folded(name) for name in (self.client.name, *codes)}:
            raise ValidationError(
                f"That is neither the name, {self.client.name}, nor the code of a home of this client."
            )
        return typed


class WishesForm(forms.ModelForm):
    """What one person wants to be told."""

    class Meta:
        model = Wishes
        fields = ("morning_list", "urgent", "language", "time_zone")
        labels = {
            "morning_list": "The morning list: every home that could not be brought back, at eight by this clock",
            "urgent": "Urgent messages at any hour: homes with locks, heating or alarms that could not be brought back",
            "time_zone": "Clock",
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        zones = [("UTC", "UTC"), *zones_by_region()]
        self.fields["time_zone"] = forms.ChoiceField(
            label="Clock", choices=zones, help_text="A place in the same zone."
        )


class ReceiverForm(forms.Form):
    """A system that is told of events; the kinds that it wants are a tick each."""

    KINDS = {
        Kind.LANDED: "A snapshot landed",
        Kind.HELD: "A snapshot was held",
        Kind.TRAYED: "A document was put in the tray",
        Kind.READINESS: "The readiness of a mesh changed",
        Kind.ROUND: "A round was done",
        Kind.ERASED: "A client was erased",
        Kind.SHEET: "A sheet was issued",
    }

    label = forms.CharField(
        label="What it is called", max_length=120, help_text="Such as the office calendar."
    )
    address = forms.CharField(
        label="Address",
        max_length=500,
        help_text="Beginning with https://. It gets a POST for each event, signed as Standard Webhooks has it.",
        widget=forms.URLInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for kind, words in self.KINDS.items():
            self.fields[kind.name.lower()] = forms.BooleanField(label=words, required=False, initial=True)

    def clean_address(self) -> str:
        try:
            reaching.target(self.cleaned_data["address"])
        except reaching.ReachError as error:
            raise ValidationError(str(error)) from None
        return self.cleaned_data["address"]

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        if not any(cleaned.get(kind.name.lower()) for kind in self.KINDS):
            raise ValidationError("Tick at least one kind of event.")
        return cleaned

    def kinds(self) -> list[Kind]:
        """The kinds that were ticked; none where it wants all, those that come later too."""
        ticked = [kind for kind in self.KINDS if self.cleaned_data[kind.name.lower()]]
        return [] if len(ticked) == len(self.KINDS) else ticked


def _folded(name: str) -> str:
    """Names that read the same are the same, however their letters were composed."""
    return " ".join(unicodedata.normalize("NFC", name).split()).casefold()
