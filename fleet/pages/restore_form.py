"""What somebody says who takes a copy out: the radio, the reason, and who agrees to it."""

from django import forms

from fleet.forms import ReasonForm
from fleet.models import Radio
from sites.forms import SecondPerson


class RestoreForm(ReasonForm, SecondPerson):
    """For which radio a copy is given out, and why; where somebody else must agree (needed), who that is.

    radios: pairs of code and words, the one to take first. cleaned_data holds the Radio.
    """

    OTHER = "another"

    radio = forms.ChoiceField(
        label="For which radio",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the radio that the document is for."},
    )
    other = forms.CharField(
        label="Code of that other radio",
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    field_order = ("radio", "other", "reason", "second_name", "second_password")

    def __init__(self, *args: object, radios: list[tuple[str, str]], needed: bool, **kwargs: object) -> None:
        super().__init__(*args, question="Why is it needed", needed=needed, **kwargs)
        self.fields["reason"].error_messages["required"] = "Say in a few words why it is needed."
        self.fields["radio"].choices = [*radios, (self.OTHER, "another radio of the firm")]
        if not needed:
            del self.fields["second_name"], self.fields["second_password"]

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        code, typed = cleaned.get("radio", ""), cleaned.get("other", "").strip()
        if typed and code and code != self.OTHER:
            self.add_error(
                "other", f"Two radios are named, {code} and {typed}; empty this, or choose the other above."
            )
        elif code == self.OTHER and not typed:
            self.add_error("other", "Write the code that is on the radio, such as A2-0110.")
        elif code:
            field, code = ("other", typed) if code == self.OTHER else ("radio", code)
            cleaned["radio"] = Radio.objects.filter(code__iexact=code).first()
            if cleaned["radio"] is None:
                self.add_error(field, f"There is no radio {code} in this book.")
        return cleaned
