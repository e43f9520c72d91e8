"""What people type about visits, made clean. Times are those on the home's clock."""

from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from fleet.models import Visit
from fleet.models.visit import LONGEST_MINUTES, MOST_VALUE, RULES_TO_WAIVE
from fleet.pages.replacing_forms import MomentAtHome
from fleet.planning.estimating import ThreePoints
from fleet.planning.visits.terms_text import TermsError, read_counts, read_windows, read_words, write_windows
from fleet.queries.visits.asked import people_to_plan
from fleet.verbs.visits.wanting import Terms
from sites.models import Person, Site

LOW, HIGH = 0.75, 1.5
"""Where only a likely figure is given: common practice, no source."""
UTC = ZoneInfo("UTC")


class TermsForm(forms.Form):
    """What a visit takes and when it may be. cleaned_data["terms"] holds it all."""

    likely = forms.IntegerField(
        label="Minutes at the home, likely",
        required=False,
        min_value=1,
        max_value=LONGEST_MINUTES,
        help_text="Empty: as the estimate says. Work in your own words needs it.",
    )
    low = forms.IntegerField(
        label="Minutes, at least", required=False, min_value=1, max_value=LONGEST_MINUTES
    )
    high = forms.IntegerField(
        label="Minutes, at most", required=False, min_value=1, max_value=LONGEST_MINUTES
    )
    windows = forms.CharField(
        label="When the people in the house can be there",
        required=False,
        max_length=3000,
        widget=forms.Textarea(attrs={"rows": 4, "placeholder": "2027-03-30 09:00-12:00"}),
        help_text="A line each, on the home's clock, such as 2027-03-30 09:00-12:00. Empty: any day, 07:00 to 16:00.",
    )
    people = forms.TypedChoiceField(
        label="How many people it takes", choices=[(1, "one"), (2, "two")], coerce=int, initial=1
    )
    licences = forms.CharField(
        label="Licences it takes",
        required=False,
        max_length=200,
        help_text="With blanks between them, such as mains.",
    )
    skills = forms.CharField(
        label="Skills it takes",
        required=False,
        max_length=200,
        help_text="With blanks between them, such as ladder.",
    )
    parts = forms.CharField(
        label="Radios to bring, by family",
        required=False,
        max_length=200,
        help_text="Such as P=1. The radio of a replacement counts by itself.",
    )
    due_at = forms.DateTimeField(label="Late when begun after", required=False)
    value = forms.IntegerField(
        label="What it is worth against other visits, 0 to 100",
        required=False,
        min_value=0,
        max_value=MOST_VALUE,
    )
    not_before_weekend = forms.BooleanField(label="Not on the day before a day of rest", required=False)
    daylight = forms.BooleanField(label="By daylight only, such as work on a roof", required=False)

    def __init__(self, *args: object, zone: ZoneInfo, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.zone = zone
        self.fields["due_at"] = _moment(zone, "Late when begun after")

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        found: dict[str, Any] = {}
        for name, read in (
            ("windows", lambda text: read_windows(text, self.zone)),
            ("licences", read_words),
            ("skills", read_words),
            ("parts", read_counts),
        ):
            try:
                found[name] = read(told.get(name, ""))
            except TermsError as error:
                self.add_error(name, str(error))
        minutes = self._minutes(told)
        if not self.errors:
            told["terms"] = Terms(
                minutes,
                found["windows"],
                told["people"],
                found["licences"],
                found["skills"],
                found["parts"],
                told["due_at"],
                told["value"],
                told["not_before_weekend"],
                told["daylight"],
            )
        return told

    def _minutes(self, told: dict[str, Any]) -> ThreePoints | None:
        likely, low, high = told.get("likely"), told.get("low"), told.get("high")
        if likely is None:
            if low is not None or high is not None:
                self.add_error(
                    "likely", "Nothing is written here; write the likely minutes too, or none at all."
                )
            return None
        low = max(1, round(likely * LOW)) if low is None else low
        high = min(LONGEST_MINUTES, round(likely * HIGH)) if high is None else high
        if not low <= likely <= high:
            self.add_error(
                "likely", f"{low}, {likely}, {high}: write at least, likely and at most in that order."
            )
            return None
        return ThreePoints(low, likely, high)


class NewVisitForm(TermsForm):
    """Where to, and what for."""

    home = forms.ModelChoiceField(
        label="Home", queryset=Site.objects.none(), to_field_name="code", empty_label="choose a home"
    )
    words = forms.CharField(label="What is to be done, in a few words", max_length=200, required=False)
    with_due = forms.BooleanField(label="Take along what is due at this home", required=False, initial=True)
    field_order = ("home", "words", "with_due")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, zone=UTC, **kwargs)
        self.fields["home"].queryset = Site.objects.filter(client__erased_at=None).order_by("code")

    def clean(self) -> dict[str, Any]:
        home = self.cleaned_data.get("home")
        if home is not None:
            self.zone = ZoneInfo(home.time_zone)
            due = self.cleaned_data.get("due_at")
            if due is not None:  # typed on a clock that was not known before the home was
                self.cleaned_data["due_at"] = due.replace(tzinfo=self.zone)
        return super().clean()


def terms_shown(visit: Visit) -> dict[str, Any]:
    """What the form shows of a visit."""
    zone = ZoneInfo(visit.site.time_zone)
    by_hand = visit.minutes_by_hand
    return {
        "likely": visit.minutes_likely if by_hand else None,
        "low": visit.minutes_low if by_hand else None,
        "high": visit.minutes_high if by_hand else None,
        "windows": write_windows(((row.begins_at, row.ends_at) for row in visit.windows.all()), zone),
        "people": visit.people,
        "licences": " ".join(visit.licences),
        "skills": " ".join(visit.skills),
        "parts": " ".join(f"{family}={count}" for family, count in visit.parts.items()),
        "due_at": visit.due_at,
        "value": visit.value,
        "not_before_weekend": visit.not_before_weekend,
        "daylight": visit.daylight,
    }


class PinForm(forms.Form):
    """Who, when, or both; neither frees it."""

    pinned_to = forms.ModelChoiceField(
        label="Only this person",
        queryset=Person.objects.none(),
        required=False,
        empty_label="anybody who may",
    )
    pinned_at = forms.DateTimeField(required=False)

    def __init__(self, *args: object, zone: ZoneInfo, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pinned_to"].queryset = people_to_plan()
        self.fields["pinned_at"] = _moment(zone, "Only at this time, on the home's clock")


class WaiveForm(forms.Form):
    """A rule of the home, and who answers for it."""

    rule = forms.ChoiceField(label="Which rule", choices=RULES_TO_WAIVE)
    name = forms.CharField(label="Who answers for it", max_length=120)
    because = forms.CharField(label="Why", max_length=200)


class ForecastForm(forms.Form):
    """The lowest temperature forecast at the home for one of its days."""

    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    lowest_c = forms.IntegerField(label="Lowest forecast, °C", min_value=-60, max_value=50)


class EndForm(forms.Form):
    """How a visit ended."""

    state = forms.ChoiceField(
        label="What became of it",
        choices=[("done", "It was made"), ("dropped", "It is not wanted any more")],
        widget=forms.RadioSelect,
    )
    because = forms.CharField(label="Why, in a few words", max_length=200, required=False)


def _moment(zone: ZoneInfo, label: str) -> MomentAtHome:
    like = forms.DateTimeField(
        label=label, widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    )
    return MomentAtHome(zone, like)
