"""What people type about a sheet that goes out of the house, or is signed."""

from typing import Any

from django import forms

from fleet.forms import ReasonForm
from fleet.models import Radio
from reports.facts.names import fault_of_name
from reports.facts.strokes import Strokes, StrokesError, read_strokes
from reports.models import SignedAs
from reports.verbs.links import MOST_DAYS, USUAL_DAYS
from reports.verbs.signing import Signer
from sites.forms import SecondPerson


class LinkForm(forms.Form):
    """A link for somebody without an account."""

    for_whom = forms.CharField(label="For whom", max_length=120)
    days = forms.IntegerField(
        label="Days until it ends", min_value=1, max_value=MOST_DAYS, initial=USUAL_DAYS
    )
    may_sign = forms.BooleanField(label="They may sign through it", required=False)


class MailForm(forms.Form):
    """The sheet itself by mail."""

    to_name = forms.CharField(label="To whom", max_length=120)
    address = forms.EmailField(label="Mail address")


class SignForm(forms.Form):
    """A signature under one sheet: the name is always typed, a drawing may stand beside it."""

    name = forms.CharField(
        label="Your name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    role = forms.ChoiceField(label="You sign as", choices=SignedAs)
    open_defects = forms.CharField(
        label="Open defects that you accept",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    not_tested = forms.CharField(
        label="Not tested, because", max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    read = forms.BooleanField(label="I have read this sheet, and sign this revision of it")
    strokes = forms.CharField(required=False, widget=forms.HiddenInput())

    def clean_name(self) -> str:
        """One that can be seen, and says what it shows."""
        name: str = self.cleaned_data["name"]
        if fault := fault_of_name(name):
            raise forms.ValidationError(f"{fault[0].upper()}{fault[1:]}.")
        return name

    def clean_strokes(self) -> Strokes:
        """The drawing, or none: then the typed name is the signature."""
        text = self.cleaned_data["strokes"]
        if not text or text == "[]":
            return ()
        try:
            return read_strokes(text)
        except StrokesError as error:
            raise forms.ValidationError(str(error)) from None

    def signer(self) -> Signer:
        """Who signs; only where the form is valid."""
        given: dict[str, Any] = self.cleaned_data
        return Signer(
            given["name"], given["role"], given["strokes"], given["open_defects"], given["not_tested"]
        )


class SealedPageForm(ReasonForm, SecondPerson):
    """Why keys are taken out on paper, and who agrees to it."""

    field_order = ("reason", "second_name", "second_password")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, question="Why it is made", **kwargs)
        self.fields["reason"].error_messages["required"] = "Say in a few words why it is made."


class JobForm(forms.Form):
    """Which radio is to take over: one of those that were weighed (pairs of code and words), or another by its code.

    cleaned_data holds the Radio; field_of_radio is the field in which it was named.
    """

    OTHER = "another"

    radio = forms.ChoiceField(
        label="The radio that takes over",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the radio that is to take over."},
    )
    other = forms.CharField(
        label="Code of that other radio",
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )

    def __init__(self, *args: object, radios: list[tuple[str, str]], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.field_of_radio = "radio"
        self.fields["radio"].choices = [*radios, (self.OTHER, "another radio of the firm")]

    def clean(self) -> dict[str, object]:
        cleaned = super().clean() or {}
        code, typed = cleaned.get("radio", ""), cleaned.get("other", "").strip()
        if code == self.OTHER:
            self.field_of_radio, code = "other", typed
            if not typed:
                self.add_error("other", "Write the code that is on the radio, such as A2-0110.")
        if code:
            cleaned["radio"] = Radio.objects.filter(code__iexact=code).first()
            if cleaned["radio"] is None:
                self.add_error(self.field_of_radio, f"There is no radio {code} in this book.")
        return cleaned
