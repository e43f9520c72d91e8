import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("fleet", "0006_client_erasure")]

    operations = [
        migrations.CreateModel(
            name="ClientKeepRule",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "client",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="keep_choice",
                        to="sites.client",
                    ),
                ),
                (
                    "rule",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="client_choices",
                        to="fleet.keeprule",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Pin",
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
                        choices=[("by_hand", "Kept by hand"), ("legal", "Legal hold")],
                        default="by_hand",
                        max_length=8,
                    ),
                ),
                ("reason", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("ended_by", models.CharField(blank=True, max_length=120)),
                (
                    "mesh",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="pins", to="fleet.mesh"
                    ),
                ),
                (
                    "snapshot",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty: every copy of the mesh.",
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="pins",
                        to="fleet.snapshot",
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=Q(kind__in=["by_hand", "legal"]), name="pin_kind_is_known"
                    ),
                    models.CheckConstraint(
                        condition=Q(snapshot__isnull=False) | Q(kind="legal"),
                        name="pin_on_a_whole_mesh_is_a_legal_hold",
                    ),
                    models.CheckConstraint(condition=~Q(reason="") & ~Q(by=""), name="pin_says_who_and_why"),
                    models.CheckConstraint(
                        condition=Q(ended_at__isnull=True, ended_by="")
                        | Q(ended_at__isnull=False) & ~Q(ended_by=""),
                        name="pin_end_says_who",
                    ),
                    models.UniqueConstraint(
                        condition=Q(ended_at__isnull=True),
                        fields=("snapshot", "kind"),
                        name="one_pin_of_a_kind_per_copy",
                    ),
                    models.UniqueConstraint(
                        condition=Q(ended_at__isnull=True, snapshot__isnull=True),
                        fields=("mesh",),
                        name="one_legal_hold_per_mesh",
                    ),
                ],
            },
        ),
        migrations.AddIndex(
            model_name="snapshot",
            index=models.Index(
                condition=Q(doomed_at__isnull=False, gone_at__isnull=True),
                fields=["mesh", "doomed_at"],
                name="snapshot_marked",
            ),
        ),
    ]
