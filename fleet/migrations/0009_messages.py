from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("fleet", "0008_round_runs")]

    operations = []
