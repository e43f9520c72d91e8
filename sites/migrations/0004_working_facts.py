import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import sites.models

WORD = django.core.validators.RegexValidator(
    "^[a-z][a-z0-9-]{0,39}$",
    "Write one word of small letters, digits and dashes, such as mains or ladder-pair.",
)


def key() -> models.BigAutoField:
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


def of_person(name: str) -> models.ForeignKey:
    return models.ForeignKey(
        on_delete=django.db.models.deletion.CASCADE, related_name=name, to=settings.AUTH_USER_MODEL
    )


class Migration(migrations.Migration):

    dependencies = [
        ("sites", "0003_firm_reads_and_prints"),
    ]

    operations = [
        migrations.AddField(
            model_name="person",
            name="base_latitude",
            field=models.DecimalField(
                blank=True,
                decimal_places=5,
                max_digits=8,
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(-90),
                    django.core.validators.MaxValueValidator(90),
                ],
                verbose_name="latitude of the base",
            ),
        ),
        migrations.AddField(
            model_name="person",
            name="base_longitude",
            field=models.DecimalField(
                blank=True,
                decimal_places=5,
                max_digits=8,
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(-180),
                    django.core.validators.MaxValueValidator(180),
                ],
                verbose_name="longitude of the base",
            ),
        ),
        migrations.AddField(
            model_name="person",
            name="time_zone",
            field=models.CharField(
                blank=True,
                default="",
                help_text="Empty: the firm's.",
                max_length=64,
                validators=[sites.models.check_time_zone],
            ),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("base_latitude__isnull", True), ("base_longitude__isnull", True)),
                    models.Q(
                        ("base_latitude__gte", -90),
                        ("base_latitude__isnull", False),
                        ("base_latitude__lte", 90),
                        ("base_longitude__gte", -180),
                        ("base_longitude__isnull", False),
                        ("base_longitude__lte", 180),
                    ),
                    _connector="OR",
                ),
                name="person_base_is_whole_and_on_earth",
                violation_error_message=(
                    "Give both latitude (-90 to 90) and longitude (-180 to 180), or neither."
                ),
            ),
        ),
        migrations.CreateModel(
            name="WorkingTime",
            fields=[
                ("id", key()),
                (
                    "weekday",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Monday"),
                            (1, "Tuesday"),
                            (2, "Wednesday"),
                            (3, "Thursday"),
                            (4, "Friday"),
                            (5, "Saturday"),
                            (6, "Sunday"),
                        ]
                    ),
                ),
                ("begins", models.TimeField()),
                ("ends", models.TimeField()),
                ("person", of_person("working_times")),
            ],
            options={
                "ordering": ["person", "weekday", "begins"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("weekday__lte", 6)), name="working_time_weekday_is_0_to_6"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("ends__gt", models.F("begins"))),
                        name="working_time_ends_after_it_begins",
                        violation_error_message="Work must end after it begins, on the same day.",
                    ),
                    models.UniqueConstraint(
                        fields=("person", "weekday", "begins"), name="working_time_begins_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DayOff",
            fields=[
                ("id", key()),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                (
                    "reason",
                    models.CharField(
                        blank=True, help_text="May stay empty; never an illness.", max_length=120
                    ),
                ),
                ("person", of_person("days_off")),
            ],
            options={
                "verbose_name": "days off",
                "verbose_name_plural": "days off",
                "ordering": ["person", "first_day"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))),
                        name="day_off_ends_after_it_begins",
                        violation_error_message="The last day is before the first.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Licence",
            fields=[
                ("id", key()),
                ("kind", models.CharField(max_length=40, validators=[WORD])),
                ("valid_from", models.DateField(blank=True, null=True)),
                ("valid_until", models.DateField()),
                ("person", of_person("licences")),
            ],
            options={
                "ordering": ["person", "kind", "valid_until"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("valid_from__isnull", True),
                            ("valid_until__gte", models.F("valid_from")),
                            _connector="OR",
                        ),
                        name="licence_ends_after_it_begins",
                        violation_error_message="The licence ends before it begins.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__length__gt", 0)), name="licence_has_a_kind"
                    ),
                    models.UniqueConstraint(
                        fields=("person", "kind", "valid_until"),
                        name="licence_is_written_once",
                        violation_error_message="This licence is written down already.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Skill",
            fields=[
                ("id", key()),
                ("name", models.CharField(max_length=40, validators=[WORD])),
                ("person", of_person("skills")),
            ],
            options={
                "ordering": ["person", "name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name__length__gt", 0)), name="skill_has_a_name"
                    ),
                    models.UniqueConstraint(
                        fields=("person", "name"),
                        name="skill_is_written_once",
                        violation_error_message="This skill is written down already.",
                    ),
                ],
            },
        ),
    ]
