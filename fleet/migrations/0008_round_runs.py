from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("fleet", "0007_keep_rule_changes")]

    operations = []
