"""The day until which somebody may work on mains becomes a licence like any other."""

from django.db import migrations


def to_rows(apps, schema_editor):
    database = schema_editor.connection.alias
    licences = apps.get_model("sites", "Licence").objects.using(database)
    people = apps.get_model("sites", "Person").objects.using(database)
    rows = people.filter(mains_licence_until__isnull=False).values_list("pk", "mains_licence_until")
    licences.bulk_create(
        licences.model(person_id=person, kind="mains", valid_until=until) for person, until in rows
    )


def to_column(apps, schema_editor):
    """The latest one of each; whatever else a licence row says has no place in the column."""
    database = schema_editor.connection.alias
    licences = apps.get_model("sites", "Licence").objects.using(database)
    people = apps.get_model("sites", "Person").objects.using(database)
    for person, until in licences.filter(kind="mains").order_by("valid_until").values_list(
        "person", "valid_until"
    ):
        people.filter(pk=person).update(mains_licence_until=until)
    licences.filter(kind="mains").delete()


class Migration(migrations.Migration):

    dependencies = [
        ("sites", "0004_working_facts"),
    ]

    operations = [migrations.RunPython(to_rows, to_column)]
