"""The day of the mains licence becomes a row, and a row becomes the day again, in a database of its own."""

from datetime import date

import pytest
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

BEFORE, AFTER = [("sites", "0003_firm_reads_and_prints")], [("sites", "0006_mains_licence_until_is_gone")]
UNTIL = date(2027, 5, 1)


@pytest.fixture
def old(tmp_path, django_db_blocker):
    """The alias of an empty SQLite file at the time before licences were rows."""
    connections.databases["old"] = {
        **connections.databases["default"],
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(tmp_path / "old.sqlite3"),
        "OPTIONS": {},
        "ATOMIC_REQUESTS": False,
        "CONN_MAX_AGE": 0,
    }
    with django_db_blocker.unblock():
        MigrationExecutor(connections["old"]).migrate(BEFORE)
        yield "old"
        connections["old"].close()
    del connections["old"]
    del connections.databases["old"]


def models(alias, targets):
    return MigrationExecutor(connections[alias]).loader.project_state(targets).apps


def test_the_day_of_a_mains_licence_is_kept_both_ways(old):
    people = models(old, BEFORE).get_model("sites", "Person").objects.using(old)
    people.create(username="noor", mains_licence_until=UNTIL)
    people.create(username="pekka")

    MigrationExecutor(connections[old]).migrate(AFTER)
    licences = models(old, AFTER).get_model("sites", "Licence").objects.using(old)
    found = list(licences.values_list("person__username", "kind", "valid_from", "valid_until"))
    assert found == [("noor", "mains", None, UNTIL)]

    MigrationExecutor(connections[old]).migrate(BEFORE)
    assert dict(people.values_list("username", "mains_licence_until")) == {"noor": UNTIL, "pekka": None}
