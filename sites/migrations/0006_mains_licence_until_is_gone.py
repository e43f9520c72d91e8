from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ("sites", "0005_mains_licences_are_rows"),
    ]

    operations = [migrations.RemoveField(model_name="person", name="mains_licence_until")]
