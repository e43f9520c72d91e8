import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import sites.models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0008_round_runs")]

    operations = [
        migrations.CreateModel(
            name="Event",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("snapshot.landed", "snapshot.landed"),
                            ("snapshot.held", "snapshot.held"),
                            ("document.trayed", "document.trayed"),
                            ("readiness.changed", "readiness.changed"),
                            ("round.done", "round.done"),
                            ("client.erased", "client.erased"),
                            ("sheet.issued", "sheet.issued"),
                        ],
                        max_length=32,
                    ),
                ),
                ("home", models.CharField(blank=True, max_length=60)),
                ("at", models.DateTimeField()),
                ("data", models.JSONField(default=dict)),
                (
                    "change",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="event",
                        to="fleet.readinesschange",
                    ),
                ),
                (
                    "line",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="event",
                        to="fleet.journalentry",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="Message",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("key", models.CharField(max_length=120, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("list", "morning list"),
                            ("rest", "rest of the list"),
                            ("urgent", "urgent"),
                            ("stopped", "rounds have stopped"),
                        ],
                        max_length=8,
                    ),
                ),
                ("address", models.EmailField(max_length=254)),
                (
                    "language",
                    models.CharField(
                        choices=[
                            ("en", "English"),
                            ("de", "Deutsch"),
                            ("fr", "Français"),
                            ("es", "Español"),
                            ("nl", "Nederlands"),
                            ("el", "Ελληνικά"),
                            ("ja", "日本語"),
                            ("ar", "العربية"),
                        ],
                        max_length=2,
                    ),
                ),
                ("subject", models.CharField(max_length=250)),
                ("body", models.TextField()),
                ("facts", models.JSONField(default=dict)),
                ("made_at", models.DateTimeField()),
                ("due_at", models.DateTimeField(help_text="When it may be tried next.")),
                ("held_until", models.DateTimeField(blank=True, null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("last_error", models.CharField(blank=True, max_length=200)),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("given_up_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="messages_told",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="Receiver",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("label", models.CharField(max_length=120)),
                ("address", models.CharField(max_length=500)),
                ("kinds", models.JSONField(blank=True, default=list, help_text="Empty: all.")),
                ("active", models.BooleanField(default=True)),
                ("sealed_secret", models.BinaryField()),
                ("made_at", models.DateTimeField()),
                ("made_by", models.CharField(max_length=120)),
                (
                    "since_line",
                    models.PositiveBigIntegerField(
                        default=0, help_text="Journal lines after this one are told."
                    ),
                ),
                (
                    "since_change",
                    models.PositiveBigIntegerField(default=0, help_text="The same of changes of readiness."),
                ),
                ("rests_until", models.DateTimeField(blank=True, null=True)),
                ("misses", models.PositiveSmallIntegerField(default=0)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "data_key",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="receivers",
                        to="fleet.datakey",
                    ),
                ),
            ],
            options={
                "ordering": ["label", "id"],
            },
        ),
        migrations.CreateModel(
            name="Delivery",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("home", models.CharField(blank=True, max_length=60)),
                ("made_at", models.DateTimeField()),
                ("due_at", models.DateTimeField()),
                ("held_until", models.DateTimeField(blank=True, null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("last_error", models.CharField(blank=True, max_length=200)),
                ("delivered_at", models.DateTimeField(blank=True, null=True)),
                ("dead_at", models.DateTimeField(blank=True, null=True)),
                (
                    "event",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="deliveries",
                        to="fleet.event",
                    ),
                ),
                (
                    "receiver",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="deliveries",
                        to="fleet.receiver",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "deliveries",
                "ordering": ["-event_id"],
            },
        ),
        migrations.CreateModel(
            name="ToldOfMesh",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "trouble",
                    models.CharField(
                        choices=[
                            ("stranded", "stranded"),
                            ("bare", "bare"),
                            ("unknown", "unknown"),
                            ("thin", "thin"),
                        ],
                        max_length=10,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("mildest", models.PositiveSmallIntegerField(default=0)),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="told_to", to="fleet.mesh"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="told_of",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Wishes",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("morning_list", models.BooleanField()),
                ("urgent", models.BooleanField()),
                (
                    "language",
                    models.CharField(
                        choices=[
                            ("en", "English"),
                            ("de", "Deutsch"),
                            ("fr", "Français"),
                            ("es", "Español"),
                            ("nl", "Nederlands"),
                            ("el", "Ελληνικά"),
                            ("ja", "日本語"),
                            ("ar", "العربية"),
                        ],
                        default="en",
                        max_length=2,
                    ),
                ),
                (
                    "time_zone",
                    models.CharField(default="UTC", max_length=64, validators=[sites.models.check_time_zone]),
                ),
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="wishes",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "wishes",
            },
        ),
        migrations.AddIndex(
            model_name="event",
            index=models.Index(fields=["-at"], name="event_newest_first"),
        ),
        migrations.AddIndex(
            model_name="message",
            index=models.Index(
                condition=models.Q(("given_up_at__isnull", True), ("sent_at__isnull", True)),
                fields=["due_at"],
                name="message_waiting",
            ),
        ),
        migrations.AddIndex(
            model_name="message",
            index=models.Index(fields=["-made_at", "-id"], name="message_newest_first"),
        ),
        migrations.AddConstraint(
            model_name="message",
            constraint=models.CheckConstraint(
                condition=models.Q(("sent_at__isnull", True), ("given_up_at__isnull", True), _connector="OR"),
                name="message_is_sent_or_given_up",
            ),
        ),
        migrations.AddConstraint(
            model_name="message",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["list", "rest", "urgent", "stopped"])),
                name="message_kind_is_known",
            ),
        ),
        migrations.AddIndex(
            model_name="delivery",
            index=models.Index(
                condition=models.Q(("dead_at__isnull", True), ("delivered_at__isnull", True)),
                fields=["receiver", "home", "event"],
                name="delivery_waiting",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.UniqueConstraint(fields=("event", "receiver"), name="event_once_a_receiver"),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("delivered_at__isnull", True), ("dead_at__isnull", True), _connector="OR"
                ),
                name="delivery_is_taken_or_dead",
            ),
        ),
        migrations.AddConstraint(
            model_name="toldofmesh",
            constraint=models.UniqueConstraint(fields=("person", "mesh"), name="told_once_a_person_and_mesh"),
        ),
        migrations.AddConstraint(
            model_name="toldofmesh",
            constraint=models.CheckConstraint(
                condition=models.Q(("trouble__in", ["stranded", "bare", "unknown", "thin"])),
                name="told_trouble_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="toldofmesh",
            constraint=models.CheckConstraint(
                condition=models.Q(("mildest__lte", 4)), name="told_mildest_is_a_severity"
            ),
        ),
        migrations.AddConstraint(
            model_name="wishes",
            constraint=models.CheckConstraint(
                condition=models.Q(("language__in", ["en", "de", "fr", "es", "nl", "el", "ja", "ar"])),
                name="wishes_language_is_known",
            ),
        ),
    ]
