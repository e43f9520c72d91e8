import uuid

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0004_packing_base_root")]

    operations = [
        migrations.AddField(
            model_name="node",
            name="named_by_hand",
            field=models.BooleanField(
                default=False, help_text="Somebody gave label or room: copies no longer change them."
            ),
        ),
        migrations.CreateModel(
            name="InstallCode",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("sealed", models.BinaryField()),
                ("mark", models.BinaryField(help_text="Keyed digest, to find one code on two devices.")),
                ("entered_by", models.CharField(max_length=120)),
                ("entered_at", models.DateTimeField()),
                (
                    "data_key",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="install_codes",
                        to="fleet.datakey",
                    ),
                ),
                (
                    "node",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="install_code",
                        to="fleet.node",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["mark"], name="install_code_by_mark")],
            },
        ),
    ]
