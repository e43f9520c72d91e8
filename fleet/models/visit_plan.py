"""A plan of visits: who asked for which days, how far the search is, and its answer as days with stops.

Stops of plans in force are those with `in_force`; whoever tells people when to drive reads these and no others.
"""

import uuid

from django.db import models
from django.db.models import F, Q

from fleet.models.visit import Visit

LEAST_SECONDS, USUAL_SECONDS, MOST_SECONDS = 1, 10, 120
MOST_DAYS = 14
"""Two weeks: nobody promises a day further off. Common practice, no source."""


class PlanState(models.TextChoices):
    WAITING = "waiting", "Waits for a worker"
    WORKING = "working", "Being worked out"
    READY = "ready", "Worked out"
    FAILED = "failed", "Could not be worked out"


class VisitPlan(models.Model):
    """Days that were asked to be planned, and how far the answer is.

    A worker holds it while it gives signs; each claim has a number of its own, and whoever comes with an older one has
    lost it. `version` grows with each change of the answer, so that nobody changes one that they have not seen.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    first_day = models.DateField()
    last_day = models.DateField()
    people = models.ManyToManyField("sites.Person", related_name="visit_plans")
    visits = models.ManyToManyField(Visit, related_name="plans")
    seconds = models.PositiveSmallIntegerField(default=USUAL_SECONDS, help_text="How long to look for it.")
    asked_by = models.CharField(max_length=120)
    asked_at = models.DateTimeField()

    state = models.CharField(max_length=8, choices=PlanState, default=PlanState.WAITING)
    progress = models.PositiveSmallIntegerField(default=0, help_text="Hundredths of the seconds.")
    claim = models.PositiveIntegerField(default=0)
    sign_at = models.DateTimeField(help_text="When its worker last gave a sign.")
    stop_asked_by = models.CharField(max_length=120, blank=True)
    begun_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    cut_short = models.CharField(max_length=300, blank=True, help_text="Why it looked for less than asked.")
    refused = models.CharField(max_length=400, blank=True, help_text="Why there is no answer.")

    version = models.PositiveIntegerField(default=0)
    answers = models.PositiveIntegerField(default=0, help_text="How many better ones the search told of.")
    early_at = models.DateTimeField(null=True, blank=True, help_text="When the first answer was there.")
    early_weight = models.BigIntegerField(null=True, blank=True)
    weight = models.BigIntegerField(null=True, blank=True)
    exact = models.BooleanField(default=False)
    bound_minutes = models.FloatField(null=True, blank=True)
    together_weight = models.BigIntegerField(default=0)
    cautions = models.JSONField(default=list, blank=True)
    moved_by_hand = models.PositiveSmallIntegerField(default=0)

    force_at = models.DateTimeField("put in force", null=True, blank=True)
    force_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]
        indexes = [
            models.Index(
                fields=["sign_at"], condition=Q(state__in=("waiting", "working")), name="visit_plan_under_way"
            )
        ]
        constraints = [
            models.CheckConstraint(condition=Q(state__in=PlanState.values), name="visit_plan_state_is_known"),
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")), name="visit_plan_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(seconds__gte=LEAST_SECONDS, seconds__lte=MOST_SECONDS),
                name="visit_plan_takes_1_to_120_seconds",
            ),
        ]

    def __str__(self) -> str:
        return f"Plan of {self.first_day} to {self.last_day}"

    @property
    def is_under_way(self) -> bool:
        """Whether its answer may still grow."""
        return self.state in (PlanState.WAITING, PlanState.WORKING)


class PlanDay(models.Model):
    """One day of one technician, from leaving the base to being back. `day` is the date on that person's clock."""

    plan = models.ForeignKey(VisitPlan, on_delete=models.CASCADE, related_name="days")
    technician = models.ForeignKey("sites.Person", on_delete=models.PROTECT, related_name="plan_days")
    day = models.DateField()
    leave_at = models.DateTimeField()
    back_at = models.DateTimeField()
    last_pause = models.DurationField()
    overtime = models.DurationField()
    in_force = models.BooleanField(default=False)

    class Meta:
        ordering = ["plan", "day", "technician", "leave_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(back_at__gt=F("leave_at")), name="plan_day_ends_after_it_begins"
            ),
            models.UniqueConstraint(
                fields=["technician", "day"],
                condition=Q(in_force=True),
                name="one_plan_in_force_per_technician_and_day",
                violation_error_message="Another plan is in force for this technician on this day.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.technician_id} on {self.day}"


class PlanStop(models.Model):
    """One technician at one home. A pause lies before leaving; `lead` is who carries a visit of two."""

    day = models.ForeignKey(PlanDay, on_delete=models.CASCADE, related_name="stops")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="stops")
    number = models.PositiveSmallIntegerField(help_text="In the order of the day, from 1.")
    pause = models.DurationField()
    leave_at = models.DateTimeField()
    arrive_at = models.DateTimeField()
    begin_at = models.DateTimeField()
    end_at = models.DateTimeField()
    late = models.DurationField()
    second = models.ForeignKey(
        "sites.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="plan_stops_beside"
    )
    lead = models.BooleanField(default=True)
    in_force = models.BooleanField(default=False)

    class Meta:
        ordering = ["day", "number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    arrive_at__gte=F("leave_at"), begin_at__gte=F("arrive_at"), end_at__gt=F("begin_at")
                ),
                name="plan_stop_runs_forward",
            ),
            models.UniqueConstraint(fields=["day", "number"], name="plan_stop_number_once_a_day"),
            models.UniqueConstraint(
                fields=["visit", "lead"],
                condition=Q(in_force=True),
                name="visit_in_force_once",
                violation_error_message="This visit has its day in another plan that is in force.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit_id} at {self.begin_at:%Y-%m-%d %H:%M}"


class PlanLeftOut(models.Model):
    """A visit without a place: what stands against it, and what would have to give.

    obstacles and gives are lists of {rule, technician, because}, gives with minutes too; gives is None where nobody
    looked, such as in an answer that is still growing.
    """

    plan = models.ForeignKey(VisitPlan, on_delete=models.CASCADE, related_name="left_out")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="left_out_of")
    obstacles = models.JSONField(default=list)
    gives = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["plan", "id"]
        constraints = [models.UniqueConstraint(fields=["plan", "visit"], name="visit_left_out_once_a_plan")]

    def __str__(self) -> str:
        return f"{self.visit_id} left out"
