"""A stop that is wanted at a home: what is to be done there, when it may be, and what it takes.

What came of it, day by day, are the rows of `fleet.models.visit_plan`.
"""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from fleet.models.mesh import Mesh
from fleet.models.replacement import Replacement
from fleet.planning.visits.request import WAIVABLE

LONGEST_MINUTES = 660
"""As long as the longest day: common practice, no source."""
MOST_VALUE = 100
RULES_TO_WAIVE = [(rule.value, rule.value) for rule in sorted(WAIVABLE)]


class VisitState(models.TextChoices):
    WANTED = "wanted", "Wanted"
    DONE = "done", "Done"
    DROPPED = "dropped", "Dropped"


class VisitWork(models.TextChoices):
    """The kinds of work at a home; the first four are those that decisions know (planning.visits.joining)."""

    SWAP = "swap", "Replace the head radio"
    UPDATE = "update", "Update the firmware"
    DRILL = "drill", "Hold a drill"
    SURVEY = "survey", "Survey"
    OTHER = "other", "Other work"


class Visit(models.Model):
    """One stop that somebody wants. Minutes are those at the home, the walk to wake devices included.

    windows: none named means the usual hours of every day. parts: count by family. A rule of the home holds unless a
    VisitWaiver says who answers for leaving it aside.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="visits")
    state = models.CharField(max_length=8, choices=VisitState, default=VisitState.WANTED)
    minutes_low = models.PositiveSmallIntegerField("minutes, at least")
    minutes_likely = models.PositiveSmallIntegerField("minutes, likely")
    minutes_high = models.PositiveSmallIntegerField("minutes, at most")
    minutes_by_hand = models.BooleanField(default=False, help_text="Somebody wrote them; no estimate did.")
    people = models.PositiveSmallIntegerField(default=1)
    licences = models.JSONField(default=list, blank=True, help_text="Kinds that the one who leads must hold.")
    skills = models.JSONField(default=list, blank=True)
    parts = models.JSONField(default=dict, blank=True, help_text="How many of which family, from the van.")
    due_at = models.DateTimeField(null=True, blank=True, help_text="Begun later, it is late.")
    value = models.PositiveSmallIntegerField(
        default=0, validators=[MaxValueValidator(MOST_VALUE)], help_text="Against other visits, 0 to 100."
    )
    not_before_weekend = models.BooleanField(default=False)
    daylight = models.BooleanField(default=False, help_text="All of it between sunrise and sunset.")
    pinned_to = models.ForeignKey(
        "sites.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="pinned_visits"
    )
    pinned_at = models.DateTimeField(null=True, blank=True)
    asked_by = models.CharField(max_length=120)
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=120, blank=True)
    ended_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["due_at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(state__in=VisitState.values), name="visit_state_is_known"),
            models.CheckConstraint(
                condition=Q(minutes_low__gte=1, minutes_high__lte=LONGEST_MINUTES)
                & Q(minutes_likely__gte=F("minutes_low"), minutes_high__gte=F("minutes_likely")),
                name="visit_minutes_are_low_likely_high",
                violation_error_message=(
                    f"minutes: write them from 1 to {LONGEST_MINUTES}, at least, likely, at most, in that order."
                ),
            ),
            models.CheckConstraint(
                condition=Q(people__in=(1, 2)),
                name="visit_takes_one_or_two",
                violation_error_message="people: a visit takes 1 or 2.",
            ),
            models.CheckConstraint(condition=Q(value__lte=MOST_VALUE), name="visit_value_is_up_to_100"),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        """As plans call it: the home's code and the visit's own number."""
        return f"{self.site.code}/{self.pk}"

    @property
    def stands(self) -> VisitState:
        """The state, as a choice."""
        return VisitState(self.state)


class VisitTask(models.Model):
    """One thing to be done on a visit. A swap names its replacement, an update or a drill its mesh."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="tasks")
    kind = models.CharField(max_length=8, choices=VisitWork)
    replacement = models.ForeignKey(
        Replacement, null=True, blank=True, on_delete=models.PROTECT, related_name="visit_tasks"
    )
    mesh = models.ForeignKey(
        Mesh, null=True, blank=True, on_delete=models.PROTECT, related_name="visit_tasks"
    )
    words = models.CharField(max_length=200, blank=True)
    is_open = models.BooleanField(default=True, help_text="False once its visit is done or dropped.")

    class Meta:
        ordering = ["visit", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=VisitWork.values), name="visit_work_is_known"),
            models.CheckConstraint(
                condition=Q(kind=VisitWork.SWAP, replacement__isnull=False)
                | Q(
                    kind__in=(VisitWork.UPDATE, VisitWork.DRILL), mesh__isnull=False, replacement__isnull=True
                )
                | (Q(kind__in=(VisitWork.SURVEY, VisitWork.OTHER), replacement__isnull=True) & ~Q(words="")),
                name="visit_task_says_what_it_is_about",
            ),
            # Two people who want the same swap want one visit.
            models.UniqueConstraint(
                fields=["replacement"],
                condition=Q(is_open=True, replacement__isnull=False),
                name="one_open_visit_per_replacement",
                violation_error_message="A visit for this replacement is wanted already.",
            ),
            models.UniqueConstraint(
                fields=["mesh", "kind"],
                condition=Q(is_open=True, mesh__isnull=False),
                name="one_open_visit_per_mesh_and_work",
                violation_error_message="A visit for this work is wanted already.",
            ),
        ]

    def __str__(self) -> str:
        return self.words or self.get_kind_display()


class VisitWindow(models.Model):
    """When the people in the house can be there."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="windows")
    begins_at = models.DateTimeField()
    ends_at = models.DateTimeField()

    class Meta:
        ordering = ["visit", "begins_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("begins_at")), name="visit_window_ends_after_it_begins"
            )
        ]

    def __str__(self) -> str:
        return f"{self.begins_at:%Y-%m-%d %H:%M}"


class VisitWaiver(models.Model):
    """That a rule of the home is left aside on a visit, and the person who answers for it."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="waivers")
    rule = models.CharField(max_length=12, choices=RULES_TO_WAIVE)
    name = models.CharField("who answers for it", max_length=120)
    because = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=120)

    class Meta:
        ordering = ["visit", "rule"]
        constraints = [
            models.UniqueConstraint(fields=["visit", "rule"], name="one_waiver_per_visit_and_rule"),
            models.CheckConstraint(
                condition=Q(rule__in=sorted(rule.value for rule in WAIVABLE)),
                name="waived_rule_may_be_waived",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="waiver_names_somebody"),
        ]

    def __str__(self) -> str:
        return f"{self.rule}: {self.name}"


class Forecast(models.Model):
    """The lowest temperature that is forecast at a home for a day of its own calendar."""

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="forecasts")
    day = models.DateField()
    lowest_c = models.SmallIntegerField(
        "lowest, °C", validators=[MinValueValidator(-60), MaxValueValidator(50)]
    )
    at = models.DateTimeField()
    by = models.CharField(max_length=120)

    class Meta:
        ordering = ["site", "day"]
        constraints = [
            models.UniqueConstraint(fields=["site", "day"], name="one_forecast_per_home_and_day"),
            models.CheckConstraint(
                condition=Q(lowest_c__gte=-60, lowest_c__lte=50), name="forecast_is_minus_60_to_50"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.lowest_c}"
