from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("fleet", "0006_client_erasure")]

    operations = []
