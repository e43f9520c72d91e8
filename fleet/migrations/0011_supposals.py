import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0010_leaving"),
    ]

    operations = [
        migrations.CreateModel(
            name="Supposal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("asked", models.JSONField(help_text="The supposition, as planning.supposing writes it.")),
                ("words", models.CharField(max_length=400)),
                ("asked_by", models.CharField(max_length=120)),
                ("asked_at", models.DateTimeField(help_text="The moment as of which it judges.")),
                ("sign_at", models.DateTimeField(help_text="When it last went on.")),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("total", models.PositiveIntegerField(default=0)),
                ("done", models.PositiveIntegerField(default=0)),
                ("after_mesh", models.PositiveBigIntegerField(default=0)),
                ("tally", models.JSONField(blank=True, default=dict)),
                ("errors", models.JSONField(blank=True, default=list)),
                (
                    "refused",
                    models.CharField(
                        blank=True,
                        help_text="Why it could not go on: something it names has left the book.",
                        max_length=400,
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("finished_at", None)),
                        fields=["sign_at"],
                        name="supposal_under_way",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SupposedChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "was",
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
                (
                    "becomes",
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
                ("rank", models.PositiveSmallIntegerField(help_text="Worst outcome first: 0 is bare.")),
                ("why_was", models.CharField(max_length=300)),
                ("why_becomes", models.CharField(max_length=300)),
                (
                    "hours_before",
                    models.FloatField(blank=True, help_text="A year; empty: cannot be counted.", null=True),
                ),
                ("hours_after", models.FloatField(blank=True, null=True)),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="fleet.mesh"
                    ),
                ),
                (
                    "supposal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="changes",
                        to="fleet.supposal",
                    ),
                ),
            ],
            options={
                "ordering": ["supposal", "rank", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("supposal", "mesh"), name="one_change_a_mesh_and_supposal"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("becomes__in", ["unknown", "bare", "thin", "covered_with_handwork", "covered"])
                        ),
                        name="supposed_change_leads_to_a_known_state",
                    ),
                ],
            },
        ),
    ]
