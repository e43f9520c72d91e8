import django.core.validators
import django.db.models.deletion
import sites.models.checks
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0014_radio_codes"),
        ("sites", "0006_mains_licence_until_is_gone"),
        ("sites", "__first__"),
    ]

    operations = [
        migrations.CreateModel(
            name="DrillDraw",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "month",
                    models.DateField(help_text="Its first day, on the clock of the firm.", unique=True),
                ),
                ("seed", models.CharField(max_length=64)),
                ("lots", models.JSONField()),
                ("count", models.PositiveIntegerField(help_text="How many were drawn.")),
                ("drawn_at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
            ],
            options={
                "ordering": ["-month"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("seed", ""), _negated=True), name="draw_keeps_its_seed"
                    )
                ],
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="FeedEvent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
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
                ("zone", models.CharField(max_length=64, validators=[sites.models.checks.check_time_zone])),
                ("with_whom", models.CharField(blank=True, max_length=150)),
                ("cancelled", models.BooleanField(default=False)),
                ("changed_at", models.DateTimeField(help_text="When it last said something else.")),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="feed_events",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
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
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="FeedToken",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("digest", models.BinaryField(max_length=32, unique=True)),
                ("made_at", models.DateTimeField()),
                ("made_by", models.CharField(max_length=120)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_by", models.CharField(blank=True, max_length=120)),
                ("last_used_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="feed_tokens",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
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
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="Forecast",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("day", models.DateField()),
                (
                    "lowest_c",
                    models.SmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(-60),
                            django.core.validators.MaxValueValidator(50),
                        ],
                        verbose_name="lowest, °C",
                    ),
                ),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="forecasts", to="sites.site"
                    ),
                ),
            ],
            options={
                "ordering": ["site", "day"],
                "constraints": [
                    models.UniqueConstraint(fields=("site", "day"), name="one_forecast_per_home_and_day"),
                    models.CheckConstraint(
                        condition=models.Q(("lowest_c__gte", -60), ("lowest_c__lte", 50)),
                        name="forecast_is_minus_60_to_50",
                    ),
                ],
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="JournalChain",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("place", models.PositiveBigIntegerField(default=0)),
                (
                    "digest",
                    models.CharField(
                        default="0000000000000000000000000000000000000000000000000000000000000000",
                        max_length=64,
                    ),
                ),
                ("sealed_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_journal_chain")
                ],
            },
        ),
        migrations.CreateModel(
            name="Passage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("under_way", "Under way"),
                            ("stopped", "Stopped"),
                            ("done", "Done"),
                            ("given_up", "Given up"),
                        ],
                        default="under_way",
                        max_length=10,
                    ),
                ),
                (
                    "need",
                    models.PositiveIntegerField(
                        help_text="Units without a regression that a ring takes to pass."
                    ),
                ),
                ("because", models.CharField(max_length=200)),
                ("begun_at", models.DateTimeField()),
                ("begun_by", models.CharField(max_length=120)),
                (
                    "resumed_at",
                    models.DateTimeField(blank=True, help_text="Soak days count anew from here.", null=True),
                ),
                (
                    "model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="passages",
                        to="fleet.radiomodel",
                    ),
                ),
                (
                    "source",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="passages_from",
                        to="fleet.firmwarerelease",
                    ),
                ),
                (
                    "target",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="passages_to",
                        to="fleet.firmwarerelease",
                    ),
                ),
            ],
            options={
                "ordering": ["-begun_at", "-id"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["under_way", "stopped", "done", "given_up"])),
                        name="passage_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("need__gte", 1)), name="passage_needs_a_unit_at_least"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("source", models.F("target")), _negated=True),
                        name="passage_goes_to_another_build",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("state__in", ["under_way", "stopped"])),
                        fields=("model",),
                        name="one_open_passage_per_model",
                        violation_error_message="Another passage of this model is open.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Rehearsal",
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
                            ("paper", "Paper walk-through"),
                            ("bench", "Bench write"),
                            ("live", "Live swap"),
                        ],
                        max_length=6,
                    ),
                ),
                ("begun_at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                ("own_pair_only", models.BooleanField(default=False)),
                ("spot", models.CharField(blank=True, max_length=200)),
                (
                    "setup",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("shielded", "In a shielded box"),
                            ("disconnected", "Disconnected: no antenna, a dummy load in its place"),
                            ("on_air", "On air"),
                        ],
                        max_length=12,
                    ),
                ),
                ("nothing_radiates", models.BooleanField(default=False)),
                (
                    "written_at",
                    models.DateTimeField(blank=True, help_text="When the document was given out.", null=True),
                ),
                ("range_first", models.PositiveBigIntegerField(blank=True, null=True)),
                ("range_last", models.PositiveBigIntegerField(blank=True, null=True)),
                ("range_until", models.DateTimeField(blank=True, null=True)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "end",
                    models.CharField(
                        blank=True,
                        choices=[("passed", "Passed"), ("failed", "Failed"), ("aborted", "Aborted")],
                        max_length=8,
                    ),
                ),
                (
                    "note",
                    models.CharField(
                        blank=True, help_text="What failed, or why it was aborted.", max_length=300
                    ),
                ),
                (
                    "drill",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="rehearsal",
                        to="fleet.drill",
                    ),
                ),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="rehearsals",
                        to="fleet.mesh",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="fleet.place",
                    ),
                ),
                (
                    "radio",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rehearsals",
                        to="fleet.radio",
                    ),
                ),
                (
                    "snapshot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="rehearsals",
                        to="fleet.snapshot",
                    ),
                ),
                (
                    "source_release",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="fleet.firmwarerelease",
                    ),
                ),
                (
                    "target_release",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="fleet.firmwarerelease",
                    ),
                ),
            ],
            options={
                "ordering": ["-begun_at", "-id"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ("paper", "bench"))),
                        name="rehearsal_is_paper_or_bench",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("end", ""), ("ended_at__isnull", True)),
                            models.Q(
                                ("end__in", ["passed", "failed", "aborted"]), ("ended_at__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="rehearsal_end_has_its_moment",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind", "paper"),
                            models.Q(
                                ("nothing_radiates", True),
                                ("radio__isnull", False),
                                ("setup__in", ("shielded", "disconnected")),
                            ),
                            _connector="OR",
                        ),
                        name="rehearsal_on_a_bench_radiates_nothing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("range_first__isnull", True),
                                ("range_last__isnull", True),
                                ("written_at__isnull", True),
                            ),
                            models.Q(
                                ("range_first__isnull", False),
                                ("range_last__gte", models.F("range_first")),
                                ("range_last__isnull", False),
                                ("written_at__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="rehearsal_range_is_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=("mesh",),
                        name="one_rehearsal_a_mesh_at_a_time",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=("radio",),
                        name="one_rehearsal_a_radio_at_a_time",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReleaseChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "what",
                    models.CharField(
                        choices=[("policy", "Policy"), ("order", "Place in the order")], max_length=8
                    ),
                ),
                ("was", models.CharField(blank=True, max_length=20)),
                ("became", models.CharField(blank=True, max_length=20)),
                ("because", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                (
                    "release",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="changes",
                        to="fleet.firmwarerelease",
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-id"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("what__in", ["policy", "order"])),
                        name="release_change_is_of_a_known_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("because", ""), _negated=True), name="release_change_has_a_reason"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StormExercise",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "asked",
                    models.JSONField(help_text="What somebody chose, as planning.storm.asking writes it."),
                ),
                ("words", models.CharField(max_length=400)),
                ("asked_by", models.CharField(max_length=120)),
                (
                    "asked_at",
                    models.DateTimeField(
                        help_text="When the storm strikes, and the moment as of which the book is read."
                    ),
                ),
                ("sign_at", models.DateTimeField(help_text="When it last went on.")),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("seed", models.PositiveBigIntegerField()),
                ("runs", models.PositiveIntegerField()),
                ("total", models.PositiveIntegerField(default=0)),
                ("done", models.PositiveIntegerField(default=0)),
                ("case", models.JSONField()),
                ("answer", models.JSONField(blank=True, null=True)),
            ],
            options={
                "ordering": ["-asked_at", "-id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("finished_at", None)), fields=["sign_at"], name="storm_under_way"
                    )
                ],
                "constraints": [],
            },
        ),
        migrations.CreateModel(
            name="SupportEnd",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("last_day", models.DateField(verbose_name="last day of support")),
                (
                    "said_by",
                    models.CharField(
                        help_text="Such as the maker's letter of May 2026.",
                        max_length=200,
                        verbose_name="who says so",
                    ),
                ),
                ("noted_at", models.DateTimeField()),
                ("noted_by", models.CharField(max_length=120)),
                (
                    "model",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="support_end",
                        to="fleet.radiomodel",
                    ),
                ),
            ],
            options={
                "ordering": ["model"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("said_by", ""), _negated=True),
                        name="support_end_has_a_source",
                        violation_error_message="Say who says so.",
                    )
                ],
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="SwapRanking",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("asked_by", models.CharField(max_length=120)),
                ("asked_at", models.DateTimeField(help_text="The moment as of which it weighs.")),
                ("sign_at", models.DateTimeField(help_text="When it last went on.")),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("total", models.PositiveIntegerField(default=0)),
                ("done", models.PositiveIntegerField(default=0)),
                ("after_mesh", models.PositiveBigIntegerField(default=0)),
                ("weights", models.JSONField(default=dict)),
                ("worst", models.JSONField(blank=True, default=dict)),
                ("errors", models.JSONField(blank=True, default=list)),
            ],
            options={
                "ordering": ["-asked_at", "-id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("finished_at", None)),
                        fields=["sign_at"],
                        name="ranking_under_way",
                    )
                ],
                "constraints": [],
            },
        ),
        migrations.CreateModel(
            name="TravelMatrix",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
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
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="Visit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "state",
                    models.CharField(
                        choices=[("wanted", "Wanted"), ("done", "Done"), ("dropped", "Dropped")],
                        default="wanted",
                        max_length=8,
                    ),
                ),
                ("minutes_low", models.PositiveSmallIntegerField(verbose_name="minutes, at least")),
                ("minutes_likely", models.PositiveSmallIntegerField(verbose_name="minutes, likely")),
                ("minutes_high", models.PositiveSmallIntegerField(verbose_name="minutes, at most")),
                (
                    "minutes_by_hand",
                    models.BooleanField(default=False, help_text="Somebody wrote them; no estimate did."),
                ),
                ("people", models.PositiveSmallIntegerField(default=1)),
                (
                    "licences",
                    models.JSONField(
                        blank=True, default=list, help_text="Kinds that the one who leads must hold."
                    ),
                ),
                ("skills", models.JSONField(blank=True, default=list)),
                (
                    "parts",
                    models.JSONField(
                        blank=True, default=dict, help_text="How many of which family, from the van."
                    ),
                ),
                ("due_at", models.DateTimeField(blank=True, help_text="Begun later, it is late.", null=True)),
                (
                    "value",
                    models.PositiveSmallIntegerField(
                        default=0,
                        help_text="Against other visits, 0 to 100.",
                        validators=[django.core.validators.MaxValueValidator(100)],
                    ),
                ),
                ("not_before_weekend", models.BooleanField(default=False)),
                (
                    "daylight",
                    models.BooleanField(default=False, help_text="All of it between sunrise and sunset."),
                ),
                ("pinned_at", models.DateTimeField(blank=True, null=True)),
                ("asked_by", models.CharField(max_length=120)),
                ("asked_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("ended_by", models.CharField(blank=True, max_length=120)),
                ("ended_because", models.CharField(blank=True, max_length=200)),
                (
                    "pinned_to",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pinned_visits",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="visits", to="sites.site"
                    ),
                ),
            ],
            options={
                "ordering": ["due_at", "id"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["wanted", "done", "dropped"])),
                        name="visit_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("minutes_high__lte", 660),
                            ("minutes_low__gte", 1),
                            ("minutes_high__gte", models.F("minutes_likely")),
                            ("minutes_likely__gte", models.F("minutes_low")),
                        ),
                        name="visit_minutes_are_low_likely_high",
                        violation_error_message="minutes: write them from 1 to 660, at least, likely, at most, in that order.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("people__in", (1, 2))),
                        name="visit_takes_one_or_two",
                        violation_error_message="people: a visit takes 1 or 2.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("value__lte", 100)), name="visit_value_is_up_to_100"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DrawnMesh",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("place", models.PositiveIntegerField(help_text="As which it was drawn, from 1.")),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="drawn", to="fleet.mesh"
                    ),
                ),
                (
                    "draw",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="drawn",
                        to="fleet.drilldraw",
                    ),
                ),
            ],
            options={
                "ordering": ["draw", "place"],
                "constraints": [
                    models.UniqueConstraint(fields=("draw", "mesh"), name="mesh_drawn_once_a_month")
                ],
                "indexes": [],
            },
        ),
        migrations.CreateModel(
            name="PassageRing",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("bench", "on the bench"),
                            ("own", "the firm's own"),
                            ("few", "a few homes"),
                            ("rest", "all the rest"),
                        ],
                        max_length=6,
                    ),
                ),
                ("number", models.PositiveSmallIntegerField()),
                ("soak_days", models.PositiveSmallIntegerField()),
                ("opened_at", models.DateTimeField(blank=True, null=True)),
                ("passed_at", models.DateTimeField(blank=True, null=True)),
                ("passed_by", models.CharField(blank=True, max_length=120)),
                ("word", models.CharField(blank=True, max_length=200)),
                (
                    "passage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rings", to="fleet.passage"
                    ),
                ),
            ],
            options={
                "ordering": ["passage", "number"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["bench", "own", "few", "rest"])),
                        name="ring_kind_is_known",
                    ),
                    models.UniqueConstraint(fields=("passage", "kind"), name="ring_once_per_passage"),
                    models.UniqueConstraint(
                        fields=("passage", "number"), name="ring_number_once_per_passage"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("passed_at__isnull", True),
                            models.Q(("opened_at__isnull", False), ("passed_at__gte", models.F("opened_at"))),
                            _connector="OR",
                        ),
                        name="ring_opens_before_it_passes",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PassageTurn",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("begun", "Begun"),
                            ("passed", "Ring passed"),
                            ("widened", "More homes drawn"),
                            ("stopped", "Stopped"),
                            ("resumed", "Resumed"),
                            ("done", "Done"),
                            ("given_up", "Given up"),
                        ],
                        max_length=10,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                ("because", models.CharField(blank=True, max_length=200)),
                (
                    "passage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="turns", to="fleet.passage"
                    ),
                ),
            ],
            options={
                "ordering": ["at", "id"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "what__in",
                                ["begun", "passed", "widened", "stopped", "resumed", "done", "given_up"],
                            )
                        ),
                        name="passage_turn_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="RankedSwap",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "place",
                    models.PositiveIntegerField(
                        blank=True, help_text="1 is the first; empty while it grows.", null=True
                    ),
                ),
                ("worth", models.FloatField(default=0)),
                ("facts", models.JSONField()),
                ("told", models.JSONField(blank=True, default=dict)),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="fleet.mesh"
                    ),
                ),
                (
                    "ranking",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="rows",
                        to="fleet.swapranking",
                    ),
                ),
            ],
            options={
                "ordering": ["ranking", "place", "id"],
                "indexes": [models.Index(fields=["ranking", "place"], name="ranked_swap_in_order")],
                "constraints": [
                    models.UniqueConstraint(fields=("ranking", "mesh"), name="one_place_a_mesh_and_ranking")
                ],
            },
        ),
        migrations.CreateModel(
            name="RehearsalStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "step",
                    models.CharField(
                        choices=[
                            ("fetch", "Fetch"),
                            ("find", "Find what is wrong"),
                            ("copy", "Choose the copy"),
                            ("write", "Write the spare"),
                            ("start", "Start it and read it out"),
                            ("compare", "Compare"),
                            ("walk", "Walk through"),
                        ],
                        max_length=8,
                    ),
                ),
                ("began_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("problem", models.CharField(blank=True, max_length=300)),
                (
                    "is_cut_short",
                    models.BooleanField(
                        default=False,
                        help_text="The drill was ended in the midst of it: its minutes measure nothing.",
                    ),
                ),
                (
                    "rehearsal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="steps",
                        to="fleet.rehearsal",
                    ),
                ),
            ],
            options={
                "ordering": ["rehearsal", "began_at", "id"],
                "indexes": [],
                "constraints": [
                    models.UniqueConstraint(fields=("rehearsal", "step"), name="rehearsal_step_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ended_at__isnull", True),
                            ("ended_at__gte", models.F("began_at")),
                            _connector="OR",
                        ),
                        name="rehearsal_step_ends_after_it_began",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VisitPlan",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                (
                    "seconds",
                    models.PositiveSmallIntegerField(default=10, help_text="How long to look for it."),
                ),
                ("asked_by", models.CharField(max_length=120)),
                ("asked_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "Waits for a worker"),
                            ("working", "Being worked out"),
                            ("ready", "Worked out"),
                            ("failed", "Could not be worked out"),
                        ],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                (
                    "progress",
                    models.PositiveSmallIntegerField(default=0, help_text="Hundredths of the seconds."),
                ),
                ("claim", models.PositiveIntegerField(default=0)),
                ("sign_at", models.DateTimeField(help_text="When its worker last gave a sign.")),
                ("stop_asked_by", models.CharField(blank=True, max_length=120)),
                ("begun_at", models.DateTimeField(blank=True, null=True)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "cut_short",
                    models.CharField(
                        blank=True, help_text="Why it looked for less than asked.", max_length=300
                    ),
                ),
                (
                    "refused",
                    models.CharField(blank=True, help_text="Why there is no answer.", max_length=400),
                ),
                ("version", models.PositiveIntegerField(default=0)),
                (
                    "answers",
                    models.PositiveIntegerField(
                        default=0, help_text="How many better ones the search told of."
                    ),
                ),
                (
                    "early_at",
                    models.DateTimeField(blank=True, help_text="When the first answer was there.", null=True),
                ),
                ("early_weight", models.BigIntegerField(blank=True, null=True)),
                ("weight", models.BigIntegerField(blank=True, null=True)),
                ("exact", models.BooleanField(default=False)),
                ("bound_minutes", models.FloatField(blank=True, null=True)),
                ("together_weight", models.BigIntegerField(default=0)),
                ("cautions", models.JSONField(blank=True, default=list)),
                ("moved_by_hand", models.PositiveSmallIntegerField(default=0)),
                ("force_at", models.DateTimeField(blank=True, null=True, verbose_name="put in force")),
                ("force_by", models.CharField(blank=True, max_length=120)),
                ("people", models.ManyToManyField(related_name="visit_plans", to=settings.AUTH_USER_MODEL)),
                ("visits", models.ManyToManyField(related_name="plans", to="fleet.visit")),
            ],
            options={
                "ordering": ["-asked_at", "-id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("state__in", ("waiting", "working"))),
                        fields=["sign_at"],
                        name="visit_plan_under_way",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["waiting", "working", "ready", "failed"])),
                        name="visit_plan_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))),
                        name="visit_plan_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("seconds__gte", 1), ("seconds__lte", 120)),
                        name="visit_plan_takes_1_to_120_seconds",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VisitTask",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("swap", "Replace the head radio"),
                            ("update", "Update the firmware"),
                            ("drill", "Hold a drill"),
                            ("survey", "Survey"),
                            ("other", "Other work"),
                        ],
                        max_length=8,
                    ),
                ),
                ("words", models.CharField(blank=True, max_length=200)),
                (
                    "is_open",
                    models.BooleanField(default=True, help_text="False once its visit is done or dropped."),
                ),
                (
                    "mesh",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="visit_tasks",
                        to="fleet.mesh",
                    ),
                ),
                (
                    "replacement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="visit_tasks",
                        to="fleet.replacement",
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="tasks", to="fleet.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["visit", "id"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["swap", "update", "drill", "survey", "other"])),
                        name="visit_work_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "swap"), ("replacement__isnull", False)),
                            models.Q(
                                ("kind__in", ("update", "drill")),
                                ("mesh__isnull", False),
                                ("replacement__isnull", True),
                            ),
                            models.Q(
                                ("kind__in", ("survey", "other")),
                                ("replacement__isnull", True),
                                models.Q(("words", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="visit_task_says_what_it_is_about",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("is_open", True), ("replacement__isnull", False)),
                        fields=("replacement",),
                        name="one_open_visit_per_replacement",
                        violation_error_message="A visit for this replacement is wanted already.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("is_open", True), ("mesh__isnull", False)),
                        fields=("mesh", "kind"),
                        name="one_open_visit_per_mesh_and_work",
                        violation_error_message="A visit for this work is wanted already.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VisitWaiver",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "rule",
                    models.CharField(
                        choices=[("daylight", "daylight"), ("frost", "frost"), ("weekend", "weekend")],
                        max_length=12,
                    ),
                ),
                ("name", models.CharField(max_length=120, verbose_name="who answers for it")),
                ("because", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="waivers", to="fleet.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["visit", "rule"],
                "indexes": [],
                "constraints": [
                    models.UniqueConstraint(fields=("visit", "rule"), name="one_waiver_per_visit_and_rule"),
                    models.CheckConstraint(
                        condition=models.Q(("rule__in", ["daylight", "frost", "weekend"])),
                        name="waived_rule_may_be_waived",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True), name="waiver_names_somebody"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VisitWindow",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("begins_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="windows", to="fleet.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["visit", "begins_at"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("begins_at"))),
                        name="visit_window_ends_after_it_begins",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PassageUnit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveIntegerField(help_text="Its turn.")),
                ("done_at", models.DateTimeField(blank=True, null=True)),
                ("done_by", models.CharField(blank=True, max_length=120)),
                (
                    "regression",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("lost_mesh", "The mesh was lost"),
                            ("lost_devices", "Devices were lost or late"),
                            ("callback", "Somebody had to come back"),
                            ("other", "Something else went worse"),
                        ],
                        max_length=14,
                    ),
                ),
                ("regressed_at", models.DateTimeField(blank=True, null=True)),
                ("what", models.CharField(blank=True, max_length=200, verbose_name="what went worse")),
                (
                    "copy",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="passage_units",
                        to="fleet.snapshot",
                    ),
                ),
                (
                    "mesh",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="passage_units",
                        to="fleet.mesh",
                    ),
                ),
                (
                    "radio",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="passage_units",
                        to="fleet.radio",
                    ),
                ),
                (
                    "ring",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="units",
                        to="fleet.passagering",
                    ),
                ),
            ],
            options={
                "ordering": ["ring", "number", "id"],
                "indexes": [],
                "constraints": [
                    models.UniqueConstraint(fields=("ring", "radio"), name="radio_once_per_ring"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("regression", ""),
                            ("regression__in", ["lost_mesh", "lost_devices", "callback", "other"]),
                            _connector="OR",
                        ),
                        name="regression_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("regressed_at__isnull", True), ("regression", "")),
                            models.Q(
                                models.Q(("regression", ""), _negated=True),
                                ("done_at__isnull", False),
                                ("regressed_at__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="regression_follows_an_update",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanDay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("day", models.DateField()),
                ("leave_at", models.DateTimeField()),
                ("back_at", models.DateTimeField()),
                ("last_pause", models.DurationField()),
                ("overtime", models.DurationField()),
                ("in_force", models.BooleanField(default=False)),
                (
                    "technician",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_days",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="days", to="fleet.visitplan"
                    ),
                ),
            ],
            options={
                "ordering": ["plan", "day", "technician", "leave_at"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("back_at__gt", models.F("leave_at"))),
                        name="plan_day_ends_after_it_begins",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("in_force", True)),
                        fields=("technician", "day"),
                        name="one_plan_in_force_per_technician_and_day",
                        violation_error_message="Another plan is in force for this technician on this day.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanLeftOut",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("obstacles", models.JSONField(default=list)),
                ("gives", models.JSONField(blank=True, null=True)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="left_out_of",
                        to="fleet.visit",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="left_out",
                        to="fleet.visitplan",
                    ),
                ),
            ],
            options={
                "ordering": ["plan", "id"],
                "indexes": [],
                "constraints": [
                    models.UniqueConstraint(fields=("plan", "visit"), name="visit_left_out_once_a_plan")
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanStop",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveSmallIntegerField(help_text="In the order of the day, from 1.")),
                ("pause", models.DurationField()),
                ("leave_at", models.DateTimeField()),
                ("arrive_at", models.DateTimeField()),
                ("begin_at", models.DateTimeField()),
                ("end_at", models.DateTimeField()),
                ("late", models.DurationField()),
                ("lead", models.BooleanField(default=True)),
                ("in_force", models.BooleanField(default=False)),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="stops", to="fleet.planday"
                    ),
                ),
                (
                    "second",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_stops_beside",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="stops", to="fleet.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["day", "number"],
                "indexes": [],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("arrive_at__gte", models.F("leave_at")),
                            ("begin_at__gte", models.F("arrive_at")),
                            ("end_at__gt", models.F("begin_at")),
                        ),
                        name="plan_stop_runs_forward",
                    ),
                    models.UniqueConstraint(fields=("day", "number"), name="plan_stop_number_once_a_day"),
                    models.UniqueConstraint(
                        condition=models.Q(("in_force", True)),
                        fields=("visit", "lead"),
                        name="visit_in_force_once",
                        violation_error_message="This visit has its day in another plan that is in force.",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="drill",
            name="own_pair_only",
            field=models.BooleanField(
                default=False,
                help_text="On another build than the plan's spare has: says nothing of this home.",
            ),
        ),
        migrations.AddField(
            model_name="firmwarerelease",
            name="band_plan",
            field=models.CharField(
                blank=True, help_text="Builds for other bands do not compare.", max_length=20
            ),
        ),
        migrations.AddField(
            model_name="radio",
            name="claimed_on",
            field=models.DateField(
                blank=True,
                help_text="When its maker was asked to stand for it.",
                null=True,
                verbose_name="claimed under warranty on",
            ),
        ),
        migrations.AddField(
            model_name="radio",
            name="dead_on_arrival_on",
            field=models.DateField(
                blank=True, help_text="It never worked: counted apart from failures in service.", null=True
            ),
        ),
        migrations.AddField(
            model_name="radiomodel",
            name="numbering",
            field=models.CharField(
                blank=True,
                choices=[
                    ("numbers", "Numbers: 6.9, 6.10, 6.11-rc1"),
                    ("letters", "Numbers and letters: 1.2, 1.2a, 1.2b"),
                    ("date", "Dates: 20270326 or 2027-03-26"),
                ],
                max_length=10,
                verbose_name="how its builds are numbered",
            ),
        ),
        migrations.AddConstraint(
            model_name="radiomodel",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("numbering", ""), ("numbering__in", ["numbers", "letters", "date"]), _connector="OR"
                ),
                name="radio_model_numbering_is_known",
            ),
        ),
        migrations.AddField(
            model_name="mesh",
            name="readiness_told",
            field=models.JSONField(
                blank=True, default=dict, help_text="Reason and act by their codes, for other languages."
            ),
        ),
        migrations.AddField(
            model_name="readinesschange",
            name="told",
            field=models.JSONField(
                blank=True, default=dict, help_text="The reason by its codes, for other languages."
            ),
        ),
        migrations.AddField(
            model_name="journalentry",
            name="digest",
            field=models.CharField(blank=True, editable=False, max_length=64),
        ),
        migrations.AddField(
            model_name="journalentry",
            name="place",
            field=models.PositiveBigIntegerField(blank=True, editable=False, null=True, unique=True),
        ),
        migrations.AddIndex(
            model_name="journalentry",
            index=models.Index(
                condition=models.Q(("place", None)), fields=["id"], name="journal_not_chained"
            ),
        ),
        migrations.AddConstraint(
            model_name="journalentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("digest", ""), ("place", None)),
                    models.Q(
                        ("digest__regex", "^[0-9a-f]{64}$"), ("place__gte", 1), ("place__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="journal_place_has_a_digest",
            ),
        ),
    ]
