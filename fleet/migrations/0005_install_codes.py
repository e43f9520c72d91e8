from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("fleet", "0004_packing_base_root")]

    operations = []
