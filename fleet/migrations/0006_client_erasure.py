import uuid

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q


class Migration(migrations.Migration):
    dependencies = [("fleet", "0005_install_codes")]

    operations = [
        migrations.CreateModel(
            name="Erasure",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=120)),
                ("second", models.CharField(max_length=120)),
                ("reason", models.CharField(max_length=200)),
                ("erased", models.JSONField(default=dict)),
                ("copies", models.JSONField(default=list)),
                ("remains", models.JSONField(default=dict)),
                ("ring_keys", models.JSONField(default=list)),
                ("ring_renewed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "client",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="erasure",
                        to="sites.client",
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-id"],
                "constraints": [
                    models.CheckConstraint(condition=~Q(by=F("second")), name="erasure_has_two_people"),
                    models.CheckConstraint(
                        condition=~Q(by="") & ~Q(second="") & ~Q(reason=""), name="erasure_says_who_and_why"
                    ),
                ],
            },
        ),
    ]
