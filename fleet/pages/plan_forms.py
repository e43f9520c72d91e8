"""What people type about plans of visits, made clean. Times are those on the home's clock."""

from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from fleet.models import Visit, VisitPlan, VisitTask
from fleet.models.visit_plan import LEAST_SECONDS, MOST_SECONDS, USUAL_SECONDS
from fleet.queries.visits.asked import people_to_plan
from sites.models import Person

LONGEST_NUMBER = 18
"""Digits that a row's number can have; the database cannot even look for a longer one."""


class SeveralPeople(forms.ModelMultipleChoiceField):
    """People by the numbers of their rows; a number that no row can have is refused like one that none has."""

    def clean(self, value: Any) -> Any:
        for each in value or ():
            if len(str(each)) > LONGEST_NUMBER:
                raise forms.ValidationError(
                    self.error_messages["invalid_choice"],
                    code="invalid_choice",
                    params={"value": str(each)[:20]},
                )
        return super().clean(value)


class AskForm(forms.Form):
    """Which days to plan, whom, and how long to look."""

    first_day = forms.DateField(
        label="First day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    last_day = forms.DateField(
        label="Last day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    people = SeveralPeople(
        label="Who can be sent",
        queryset=Person.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Nobody ticked: all of them.",
    )
    seconds = forms.IntegerField(
        label="Seconds to look for it",
        initial=USUAL_SECONDS,
        min_value=LEAST_SECONDS,
        max_value=MOST_SECONDS,
        help_text="An early answer is there sooner; more seconds find shorter ways.",
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["people"].queryset = people_to_plan()


class VisitChoiceField(forms.ModelChoiceField):
    """A visit by its code, whose home it is, and what for."""

    def label_from_instance(self, obj: Visit) -> str:
        return f"{obj.code} {obj.site.client.name}: {', '.join(_work(task) for task in obj.tasks.all())}"


def _work(task: VisitTask) -> str:
    return f"{task.get_kind_display().lower()}, {task.mesh.code}" if task.mesh else task.words


class MoveForm(forms.Form):
    """A visit of a plan, and where it is to go; no person leaves it out."""

    visit = VisitChoiceField(label="Which visit", queryset=Visit.objects.none(), empty_label="choose a visit")
    technician = forms.ModelChoiceField(
        label="To whom", queryset=Person.objects.none(), required=False, empty_label="nobody: leave it out"
    )
    second = forms.ModelChoiceField(
        label="Who comes along, where it takes two",
        queryset=Person.objects.none(),
        required=False,
        empty_label="nobody",
    )
    day = forms.DateField(
        label="On which day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="By the home's calendar.",
    )
    time = forms.TimeField(
        label="Not before",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text="On the home's clock; it begins then, or as soon after as the ways allow.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: object, plan: VisitPlan, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["visit"].queryset = (
            plan.visits.filter(state="wanted")
            .select_related("site__client")
            .prefetch_related("tasks__mesh")
            .order_by("site__code", "pk")
        )
        for name in ("technician", "second"):
            self.fields[name].queryset = plan.people.order_by("first_name", "username")
        self.fields["version"].initial = plan.version

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if told.get("technician") is not None:
            for name, right in (("day", "a day"), ("time", "a time")):
                if told.get(name) is None and name not in self.errors:
                    self.add_error(
                        name, f"Nothing is written here; write {right}, or choose nobody to leave it out."
                    )
        return told

    @property
    def at(self) -> datetime | None:
        """The moment on the home's clock."""
        day: date | None = self.cleaned_data.get("day")
        clock: time | None = self.cleaned_data.get("time")
        visit = self.cleaned_data["visit"]
        if day is None or clock is None:
            return None
        return datetime.combine(day, clock, ZoneInfo(visit.site.time_zone))


class SaveMoveForm(MoveForm):
    """The same once more, with who answers for a rule of the home that it breaks."""

    name = forms.CharField(label="Who answers for it", max_length=120, required=False)
    because = forms.CharField(label="Why it may be", max_length=200, required=False)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for name in ("visit", "technician", "second", "day", "time"):
            self.fields[name].widget = forms.HiddenInput()
