"""What people type about when somebody works and what they may and can do, made clean."""

import re

from django import forms

from fleet.planning.visits.span import VisitError
from fleet.planning.visits.working import WEEKDAYS, Weekly, read_day
from sites.forms import zones_by_region
from sites.models import DayOff, Licence, Person
from sites.queries import firm_zone

MOST_SKILLS = 30


class HoursForm(forms.Form):
    """A week, a field for each day. person: whose hours stand there before anything is typed."""

    def __init__(self, *args: object, person: Person, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.week: list[Weekly] = []
        held = list(person.working_times.all())
        for number, day in enumerate(WEEKDAYS):
            written = [f"{row.begins:%H:%M}-{row.ends:%H:%M}" for row in held if row.weekday == number]
            self.fields[day.lower()] = forms.CharField(
                label=day,
                required=False,
                max_length=120,
                initial=", ".join(written),
                widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "text"}),
            )

    def clean(self) -> dict[str, object]:
        told = super().clean() or self.cleaned_data
        for number, day in enumerate(WEEKDAYS):
            try:
                self.week += read_day(number, str(told.get(day.lower(), "")))
            except VisitError as error:
                self.add_error(day.lower(), str(error))
        return told


class BaseForm(forms.ModelForm):
    """Where a person's day begins and ends, and on which clock their hours are meant."""

    class Meta:
        model = Person
        fields = ("base_latitude", "base_longitude", "time_zone")
        labels = {"base_latitude": "Latitude", "base_longitude": "Longitude"}
        help_texts = {
            "base_latitude": "Degrees, north positive. Give both, or neither.",
            "base_longitude": "Degrees, east positive.",
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        kept = self.instance.time_zone
        choices: list = [("", f"The firm's ({firm_zone()})"), *zones_by_region()]
        if kept and not any(kept == name for _, zones in choices[1:] for name, _ in zones):
            choices.append((kept, kept))
        self.fields["time_zone"] = forms.ChoiceField(
            label="Time zone",
            choices=choices,
            required=False,
            help_text="Hours and days off are by this clock.",
        )


class LicenceForm(forms.ModelForm):
    class Meta:
        model = Licence
        fields = ("kind", "valid_from", "valid_until")
        labels = {"kind": "Kind", "valid_from": "Valid from", "valid_until": "Last day"}
        help_texts = {
            "kind": "One word of small letters, the same as on visits: mains, ladder, gas.",
            "valid_from": "Empty: for as long as anybody asks.",
        }
        widgets = {
            name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            for name in ("valid_from", "valid_until")
        } | {"kind": forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off"})}


class DayOffForm(forms.ModelForm):
    class Meta:
        model = DayOff
        fields = ("first_day", "last_day", "reason")
        labels = {"first_day": "First day", "last_day": "Last day"}
        widgets = {
            name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            for name in ("first_day", "last_day")
        }


class SkillsForm(forms.Form):
    """All skills of a person, with commas between them."""

    names = forms.CharField(
        label="Skills",
        required=False,
        max_length=400,
        help_text="With commas between them, the same words as on visits: heating, locks.",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off"}),
    )

    def clean_names(self) -> list[str]:
        """Words in small letters, each once; what is no plain word is refused by the verb."""
        words = {word.strip().lower() for word in re.split(r"[,;\n]", self.cleaned_data["names"])} - {""}
        if len(words) > MOST_SKILLS:
            raise forms.ValidationError(f"These are {len(words)} skills; right is at most {MOST_SKILLS}.")
        return sorted(words)
