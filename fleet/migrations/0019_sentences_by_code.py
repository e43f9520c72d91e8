from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0018_travel_and_calendar_feeds")]

    operations = [
        migrations.AddField(
            model_name="mesh",
            name="readiness_told",
            field=models.JSONField(
                blank=True,
                default=dict,
                help_text="Reason and act by their codes, for other languages.",
            ),
        ),
        migrations.AddField(
            model_name="readinesschange",
            name="told",
            field=models.JSONField(
                blank=True, default=dict, help_text="The reason by its codes, for other languages."
            ),
        ),
    ]
