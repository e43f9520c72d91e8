"""When people work, when they do not, and what they may and can do."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from sites.models.person import Person

WORD = RegexValidator(
    r"^[a-z][a-z0-9-]{0,39}$",
    "Write one word of small letters, digits and dashes, such as mains or ladder-pair.",
)


class Weekday(models.IntegerChoices):
    """As date.weekday() counts."""

    MONDAY = 0, "Monday"
    TUESDAY = 1, "Tuesday"
    WEDNESDAY = 2, "Wednesday"
    THURSDAY = 3, "Thursday"
    FRIDAY = 4, "Friday"
    SATURDAY = 5, "Saturday"
    SUNDAY = 6, "Sunday"


class WorkingTime(models.Model):
    """A stretch of work that comes every week, by the clock of the person's zone; never across midnight.

    That stretches of a day do not overlap is held by the verb that writes them, under a lock on the person.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="working_times")
    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    begins = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["person", "weekday", "begins"]
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="working_time_weekday_is_0_to_6"),
            models.CheckConstraint(
                condition=Q(ends__gt=F("begins")),
                name="working_time_ends_after_it_begins",
                violation_error_message="Work must end after it begins, on the same day.",
            ),
            models.UniqueConstraint(fields=["person", "weekday", "begins"], name="working_time_begins_once"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins:%H:%M}-{self.ends:%H:%M}"


class DayOff(models.Model):
    """Days without work, the first and the last included, by the calendar of the person's zone."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="days_off")
    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=120, blank=True, help_text="May stay empty; never an illness.")

    class Meta:
        ordering = ["person", "first_day"]
        verbose_name = "days off"
        verbose_name_plural = "days off"
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="day_off_ends_after_it_begins",
                violation_error_message="The last day is before the first.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_day} to {self.last_day}"


class Licence(models.Model):
    """What somebody may do by law until a day, that day included. valid_from empty: since before the book began."""

    MAINS = "mains"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="licences")
    kind = models.CharField(max_length=40, validators=[WORD])
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField()

    class Meta:
        ordering = ["person", "kind", "valid_until"]
        constraints = [
            models.CheckConstraint(
                condition=Q(valid_from__isnull=True) | Q(valid_until__gte=F("valid_from")),
                name="licence_ends_after_it_begins",
                violation_error_message="The licence ends before it begins.",
            ),
            models.CheckConstraint(condition=Q(kind__length__gt=0), name="licence_has_a_kind"),
            models.UniqueConstraint(
                fields=["person", "kind", "valid_until"],
                name="licence_is_written_once",
                violation_error_message="This licence is written down already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} until {self.valid_until}"


class Skill(models.Model):
    """What somebody can do, as visits ask for it."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="skills")
    name = models.CharField(max_length=40, validators=[WORD])

    class Meta:
        ordering = ["person", "name"]
        constraints = [
            models.CheckConstraint(condition=Q(name__length__gt=0), name="skill_has_a_name"),
            models.UniqueConstraint(
                fields=["person", "name"],
                name="skill_is_written_once",
                violation_error_message="This skill is written down already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
