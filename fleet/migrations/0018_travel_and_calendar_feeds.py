import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import sites.models


def key() -> models.BigAutoField:
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


def of_person(name: str) -> models.ForeignKey:
    return models.ForeignKey(
        on_delete=django.db.models.deletion.CASCADE, related_name=name, to=settings.AUTH_USER_MODEL
    )


class Migration(migrations.Migration):

    dependencies = [
        ("fleet", "0017_firmware_goes_out_in_rings"),
        ("sites", "0006_mains_licence_until_is_gone"),
    ]

    operations = [
        migrations.CreateModel(
            name="TravelMatrix",
            fields=[
                ("id", key()),
                ("text", models.TextField(editable=False)),
                (
                    "sha256",
                    models.CharField(
                        help_text="Of the file as it came.", max_length=64, verbose_name="SHA-256"
                    ),
                ),
                ("ways", models.PositiveIntegerField()),
                (
                    "bands",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="Bands of hours in which it takes longer."
                    ),
                ),
                ("made_at", models.DateTimeField()),
                ("made_by", models.CharField(max_length=120)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("ended_by", models.CharField(blank=True, max_length=120)),
            ],
            options={
                "verbose_name_plural": "travel matrices",
                "ordering": ["-made_at", "-id"],
                "constraints": [
                    models.UniqueConstraint(
                        models.Value(1),
                        condition=models.Q(("ended_at__isnull", True)),
                        name="one_travel_matrix_in_force",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("ways__gte", 1)), name="travel_matrix_has_a_way"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="FeedToken",
            fields=[
                ("id", key()),
                ("digest", models.BinaryField(max_length=32, unique=True)),
                ("made_at", models.DateTimeField()),
                ("made_by", models.CharField(max_length=120)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_by", models.CharField(blank=True, max_length=120)),
                ("last_used_at", models.DateTimeField(blank=True, null=True)),
                ("person", of_person("feed_tokens")),
            ],
            options={
                "ordering": ["person", "-made_at"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("revoked_at__isnull", True)),
                        fields=("person",),
                        name="one_calendar_address_per_person",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="FeedEvent",
            fields=[
                ("id", key()),
                (
                    "uid",
                    models.UUIDField(
                        help_text="Of this visit and this person; it tells nothing (RFC 7986, section 5.3)."
                    ),
                ),
                ("sequence", models.PositiveIntegerField(default=0)),
                ("home", models.CharField(max_length=16)),
                ("work", models.JSONField(blank=True, default=list)),
                ("begin_at", models.DateTimeField()),
                ("end_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=64, validators=[sites.models.check_time_zone])),
                ("with_whom", models.CharField(blank=True, max_length=150)),
                ("cancelled", models.BooleanField(default=False)),
                ("changed_at", models.DateTimeField(help_text="When it last said something else.")),
                ("person", of_person("feed_events")),
            ],
            options={
                "ordering": ["person", "begin_at", "uid"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("person", "uid"), name="one_feed_event_per_person_and_uid"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("end_at__gt", models.F("begin_at"))),
                        name="feed_event_ends_after_it_begins",
                    ),
                ],
            },
        ),
    ]
