from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("fleet", "0005_install_codes")]

    operations = []
