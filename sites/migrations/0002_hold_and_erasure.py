from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("sites", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="client",
            name="erased_at",
            field=models.DateTimeField(
                blank=True, editable=False, help_text="When the data key was destroyed.", null=True
            ),
        ),
        migrations.AddField(
            model_name="client",
            name="held_since",
            field=models.DateField(blank=True, null=True, verbose_name="legal hold since"),
        ),
        migrations.AddField(
            model_name="client",
            name="hold_reason",
            field=models.CharField(blank=True, max_length=200, verbose_name="reason of the hold"),
        ),
        migrations.AddConstraint(
            model_name="client",
            constraint=models.CheckConstraint(
                condition=Q(held_since__isnull=True, hold_reason="")
                | Q(held_since__isnull=False) & ~Q(hold_reason=""),
                name="client_hold_has_a_day_and_a_reason",
                violation_error_message="A legal hold needs a day and a reason. Empty both to lift it.",
            ),
        ),
    ]
