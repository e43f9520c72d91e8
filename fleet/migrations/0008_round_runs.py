import datetime

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models


def break_off(apps, schema_editor):
    """A round of before has no chunks to go on with."""
    rounds = apps.get_model("fleet", "Round").objects.filter(state="running")
    rounds.update(state="broken", finished_at=models.F("last_sign_at"))


class Migration(migrations.Migration):
    dependencies = [("fleet", "0007_keep_rule_changes")]

    operations = [
        migrations.RunPython(break_off, migrations.RunPython.noop),
        migrations.RemoveField(
            model_name="round",
            name="after_mesh",
        ),
        migrations.AddField(
            model_name="round",
            name="asked_by",
            field=models.CharField(blank=True, max_length=120),
        ),
        migrations.AddField(
            model_name="round",
            name="doubted_time",
            field=models.DurationField(
                default=datetime.timedelta(0),
                help_text="Time before it that may not have passed; no grace time runs in it.",
            ),
        ),
        migrations.AddField(
            model_name="round",
            name="may_erase",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="round",
            name="notice",
            field=models.CharField(blank=True, help_text="Why it may not erase.", max_length=400),
        ),
        migrations.AddField(
            model_name="round",
            name="slot",
            field=models.DateTimeField(
                blank=True, help_text="The hour it was due for.", null=True, unique=True
            ),
        ),
        migrations.AlterField(
            model_name="round",
            name="last_sign_at",
            field=models.DateTimeField(help_text="When its chunks were last handed out."),
        ),
        migrations.AlterField(
            model_name="round",
            name="started_at",
            field=models.DateTimeField(help_text="The moment as of which it judges."),
        ),
        migrations.CreateModel(
            name="ChannelSurvey",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("done_on", models.DateField(help_text="The day at the home.")),
                ("by", models.CharField(blank=True, max_length=120)),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="surveys", to="fleet.mesh"
                    ),
                ),
            ],
            options={
                "ordering": ["-done_on"],
            },
        ),
        migrations.CreateModel(
            name="ReadinessChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                (
                    "was",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("unknown", "unknown"),
                            ("bare", "bare"),
                            ("thin", "thin"),
                            ("covered_with_handwork", "covered with handwork"),
                            ("covered", "covered"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "became",
                    models.CharField(
                        choices=[
                            ("unknown", "unknown"),
                            ("bare", "bare"),
                            ("thin", "thin"),
                            ("covered_with_handwork", "covered with handwork"),
                            ("covered", "covered"),
                        ],
                        max_length=24,
                    ),
                ),
                ("gate", models.CharField(blank=True, max_length=40)),
                ("reason", models.CharField(blank=True, max_length=300)),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="readiness_changes",
                        to="fleet.mesh",
                    ),
                ),
                (
                    "round",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="readiness_changes",
                        to="fleet.round",
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="RoundChunk",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveIntegerField()),
                ("after_mesh", models.PositiveBigIntegerField()),
                ("last_mesh", models.PositiveBigIntegerField()),
                ("size", models.PositiveIntegerField(help_text="Meshes in it when the round began.")),
                ("done", models.PositiveIntegerField(default=0)),
                ("marked", models.PositiveIntegerField(default=0)),
                ("erased", models.PositiveIntegerField(default=0)),
                ("errors", models.JSONField(blank=True, default=list)),
                (
                    "token",
                    models.CharField(blank=True, help_text="Who holds it; empty: nobody.", max_length=80),
                ),
                ("holder", models.CharField(blank=True, help_text="The same, for people.", max_length=120)),
                ("claim", models.PositiveIntegerField(default=0)),
                (
                    "tries",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="Claims that have come to the mesh it is at."
                    ),
                ),
                ("sign_at", models.DateTimeField(blank=True, null=True)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "round",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="chunks", to="fleet.round"
                    ),
                ),
            ],
            options={
                "ordering": ["round", "number"],
            },
        ),
        migrations.CreateModel(
            name="WifiHeard",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "channel",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(14),
                        ]
                    ),
                ),
                (
                    "width",
                    models.CharField(
                        choices=[
                            ("20", "20 MHz"),
                            ("40+", "40 MHz, from the channel up"),
                            ("40-", "40 MHz, from the channel down"),
                        ],
                        default="20",
                        max_length=3,
                    ),
                ),
                (
                    "level_dbm",
                    models.SmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(-110),
                            django.core.validators.MaxValueValidator(0),
                        ],
                        verbose_name="level, dBm",
                    ),
                ),
                (
                    "busy_percent",
                    models.PositiveSmallIntegerField(
                        validators=[django.core.validators.MaxValueValidator(100)], verbose_name="busy, %"
                    ),
                ),
                (
                    "survey",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="heard",
                        to="fleet.channelsurvey",
                    ),
                ),
            ],
            options={
                "ordering": ["-level_dbm", "id"],
            },
        ),
        migrations.AddConstraint(
            model_name="channelsurvey",
            constraint=models.UniqueConstraint(fields=("mesh", "done_on"), name="one_survey_a_mesh_and_day"),
        ),
        migrations.AddIndex(
            model_name="readinesschange",
            index=models.Index(fields=["mesh", "-at", "-id"], name="change_by_mesh"),
        ),
        migrations.AddConstraint(
            model_name="readinesschange",
            constraint=models.UniqueConstraint(fields=("round", "mesh"), name="one_change_a_mesh_and_round"),
        ),
        migrations.AddConstraint(
            model_name="readinesschange",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("became__in", ["unknown", "bare", "thin", "covered_with_handwork", "covered"])
                ),
                name="change_leads_to_a_known_state",
            ),
        ),
        migrations.AddConstraint(
            model_name="roundchunk",
            constraint=models.UniqueConstraint(fields=("round", "number"), name="chunk_once_a_round"),
        ),
        migrations.AddConstraint(
            model_name="wifiheard",
            constraint=models.CheckConstraint(
                condition=models.Q(("channel__gte", 1), ("channel__lte", 14)), name="wifi_channel_is_1_to_14"
            ),
        ),
        migrations.AddConstraint(
            model_name="wifiheard",
            constraint=models.CheckConstraint(
                condition=models.Q(("width__in", ["20", "40+", "40-"])), name="wifi_width_is_20_or_40_mhz"
            ),
        ),
        migrations.AddConstraint(
            model_name="wifiheard",
            constraint=models.CheckConstraint(
                condition=models.Q(("level_dbm__gte", -110), ("level_dbm__lte", 0)),
                name="wifi_level_is_minus_110_to_0_dbm",
            ),
        ),
        migrations.AddConstraint(
            model_name="wifiheard",
            constraint=models.CheckConstraint(
                condition=models.Q(("busy_percent__lte", 100)), name="wifi_busy_is_up_to_100_percent"
            ),
        ),
    ]
