import django.db.models.deletion
from django.db import migrations, models

STEPS = [
    "offer",
    "notice",
    "answer",
    "arrange",
    "copy",
    "pack",
    "keys",
    "fetch",
    "rotate",
    "access",
    "announce",
    "erase",
]


class Migration(migrations.Migration):
    dependencies = [("fleet", "0009_messages"), ("sites", "0001_initial")]

    operations = [
        migrations.CreateModel(
            name="LeavingStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("step", models.CharField(choices=[(step, step) for step in STEPS], max_length=10)),
                ("done_on", models.DateField()),
                ("by", models.CharField(max_length=120)),
                ("note", models.CharField(blank=True, max_length=200)),
                (
                    "agreement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="leaving_steps",
                        to="sites.agreement",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=["agreement", "step"], name="leaving_step_once_per_agreement"
                    ),
                    models.CheckConstraint(condition=models.Q(step__in=STEPS), name="leaving_step_is_known"),
                ],
            },
        ),
    ]
