"""What people type about clients and homes, made clean."""

from itertools import groupby
from zoneinfo import available_timezones

from django import forms

from sites.models import Agreement, Client, Contact, Site

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
