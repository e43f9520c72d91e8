"""What people type about clients and homes, made clean."""

from datetime import date
from itertools import groupby
from zoneinfo import available_timezones

from django import forms

from sites import access
from sites.models import Agreement, Client, Contact, Person, Site

# Zones of the tz database that are no place; keep rules and windows need a place's clock changes.
NO_PLACE = frozenset({"Etc", "SystemV", "US", "Brazil", "Canada", "Chile", "Mexico"})


def zones_by_region() -> list[tuple[str, list[tuple[str, str]]]]:
    """IANA zones that are places, for a list to choose from: [("Europe", [("Europe/Oslo", "Oslo"), ...]), ...]."""
    names = sorted(name for name in available_timezones() if "/" in name)
    regions = groupby(names, key=lambda name: name.partition("/")[0])
    return [
        (region, [(name, name.partition("/")[2].replace("_", " ")) for name in members])
        for region, members in regions
        if region not in NO_PLACE
    ]


class CodeField(forms.CharField):
    """A code in capitals, however it was typed."""

    def to_python(self, value: object) -> str:
        return super().to_python(value).upper()


class ClientForm(forms.ModelForm):
    class Meta:
        model = Client
        fields = ("name", "reading", "language", "phone", "email", "taken_on", "bill_open")
        labels = {"taken_on": "In care since", "bill_open": "A bill is open"}
        help_texts = {
            "language": "The tag of the language for paper, such as en, el or pt-PT.",
            "phone": "With + and the country code.",
        }
        widgets = {
            "name": forms.TextInput(attrs={"dir": "auto"}),
            "reading": forms.TextInput(attrs={"dir": "auto"}),
            "phone": forms.TextInput(attrs={"type": "tel"}),
            "taken_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }


class SiteForm(forms.ModelForm):
    class Meta:
        model = Site
        fields = (
            "code",
            "name",
            "address_lines",
            "country",
            "time_zone",
            "latitude",
            "longitude",
            "language",
            "paper_size",
            "parking",
            "floor",
            "way_in",
            "alarm_company",
            "frost_limit_c",
            "vulnerable_person",
            "warnings",
        )
        labels = {
            "code": "Code of the home",
            "name": "What the place is called",
            "address_lines": "Address",
            "vulnerable_person": "Somebody here needs care or must not be left without heat, light or a call for help",
        }
        help_texts = {
            "code": "Short and sayable: capital letters, a dash, a number, such as KELP-7. It stays for good.",
            "name": "Such as boathouse.",
            "country": "Two letters (ISO 3166-1), such as NO.",
            "latitude": "Degrees, north positive. Give both, or neither.",
            "longitude": "Degrees, east positive.",
        }
        field_classes = {"code": CodeField}
        widgets = {
            "name": forms.TextInput(attrs={"dir": "auto"}),
            "address_lines": forms.Textarea(attrs={"rows": 4, "dir": "auto"}),
            "warnings": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        kept = self.instance.time_zone
        choices: list = [("", "Choose a place in the same zone"), *zones_by_region()]
        if kept and not any(kept == name for _, zones in choices[1:] for name, _ in zones):
            choices.append((kept, kept))
        self.fields["time_zone"] = forms.ChoiceField(
            label="Time zone", choices=choices, help_text="Where the clocks change when they do at the home."
        )
        if self.instance.pk:
            self.fields["code"].disabled = True  # it is printed on sheets and is part of the meshes' codes


class ContactForm(forms.ModelForm):
    class Meta:
        model = Contact
        fields = ("kind", "name", "phone", "language", "call_order")
        labels = {"kind": "Who this is", "call_order": "Call as number"}
        help_texts = {"phone": "With + and the country code.", "language": "Empty: the client's."}
        widgets = {
            "name": forms.TextInput(attrs={"dir": "auto"}),
            "phone": forms.TextInput(attrs={"type": "tel"}),
        }


class AgreementForm(forms.ModelForm):
    class Meta:
        model = Agreement
        fields = (
            "starts_on",
            "ends_on",
            "notice_days",
            "recovery_point_hours",
            "recovery_time_minutes",
            "drill_interval_days",
            "hours_covered",
        )
        labels = {
            "notice_days": "Notice, days",
            "recovery_point_hours": "Promised recovery point, hours",
            "recovery_time_minutes": "Promised recovery time, minutes",
            "drill_interval_days": "A drill at least every, days",
            "hours_covered": "Hours in which calls are taken",
        }
        help_texts = {"ends_on": "Empty: no end agreed."}
        widgets = {
            "starts_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "ends_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }


class HoldForm(forms.ModelForm):
    """A legal hold: while it stands, nothing of the client is erased."""

    class Meta:
        model = Client
        fields = ("held_since", "hold_reason")
        labels = {"held_since": "Since", "hold_reason": "Why, and who ordered it"}
        help_texts = {"held_since": "Empty both fields to lift the hold."}
        widgets = {
            "held_since": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "hold_reason": forms.TextInput(attrs={"dir": "auto"}),
        }


class SecondPerson(forms.Form):
    """For acts that one person may not do alone: somebody else of the firm agrees, by user name and password.

    first: who asks; today: for access that has ended; needed: False lets both fields stay empty. cleaned_data
    holds the Person as "second", or None. `allowed` says who may be it.
    """

    allowed = staticmethod(access.may_change)

    second_name = forms.CharField(
        label="User name of the second person",
        max_length=150,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )
    second_password = forms.CharField(
        label="Password of the second person",
        max_length=200,
        strip=False,
        help_text="They type it themselves. It is checked and not kept.",
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )

    def __init__(
        self, *args: object, first: Person, today: date, needed: bool = True, **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)
        self.first, self.today = first, today
        for name in ("second_name", "second_password"):
            self.fields[name].required = needed

    def clean(self) -> dict[str, object]:
        cleaned = super().clean() or self.cleaned_data
        name, password = cleaned.get("second_name"), cleaned.get("second_password")
        cleaned["second"] = None
        if not name and not password:
            return cleaned
        try:
            if name and password:
                cleaned["second"] = access.second_person(self.first, name, password)
        except access.TooManyTries as error:
            self.add_error("second_password", str(error))
            return cleaned
        if cleaned["second"] is None or not self.allowed(cleaned["second"], self.today):
            self.add_error("second_name", "No such person with this password may agree to it.")
        elif cleaned["second"] == self.first:
            self.add_error("second_name", "The second person must be somebody other than you.")
        return cleaned
