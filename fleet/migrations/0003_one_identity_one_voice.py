"""No two service periods of one identity, one radio or one mesh overlap: held by the database itself.

PostgreSQL takes exclusion constraints; SQLite takes triggers with the same meaning. A later migration that
rebuilds this table on SQLite must lay the triggers again (tests/fleet/models/test_service_periods.py watches).
"""

from django.db import migrations

EXCLUSIVE = {
    "period_identity_never_overlaps": ("head_address", "extended_pan_id"),
    "period_radio_never_overlaps": ("radio_id",),
    "period_mesh_never_overlaps": ("mesh_id",),
}


def hold(apps, schema_editor):
    for statement in _statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, params=None)


def let_go(apps, schema_editor):
    vendor = schema_editor.connection.vendor
    for name in EXCLUSIVE:
        if vendor == "postgresql":
            schema_editor.execute(f"ALTER TABLE fleet_serviceperiod DROP CONSTRAINT {name}")
        else:
            for act in ("insert", "update"):
                schema_editor.execute(f"DROP TRIGGER {name}_{act}")


def _statements(vendor):
    if vendor == "postgresql":
        yield "CREATE EXTENSION IF NOT EXISTS btree_gist"
    for name, columns in EXCLUSIVE.items():
        if vendor == "postgresql":
            equal = ", ".join(f"{column} WITH =" for column in columns)
            yield (
                f"ALTER TABLE fleet_serviceperiod ADD CONSTRAINT {name} "
                f"EXCLUDE USING gist ({equal}, tstzrange(since, until) WITH &&)"
            )
        else:
            yield from _triggers(name, columns)


def _triggers(name, columns):
    same = " AND ".join(f"other.{column} = NEW.{column}" for column in columns)
    for act in ("INSERT", "UPDATE"):
        yield (
            f"CREATE TRIGGER {name}_{act.lower()} BEFORE {act} ON fleet_serviceperiod "
            f"WHEN EXISTS (SELECT 1 FROM fleet_serviceperiod AS other WHERE {same} "
            "AND other.id IS NOT NEW.id "
            "AND (other.until IS NULL OR other.until > NEW.since) "
            "AND (NEW.until IS NULL OR NEW.until > other.since)) "
            f"BEGIN SELECT RAISE(ABORT, '{name}'); END"
        )


class Migration(migrations.Migration):
    dependencies = [("fleet", "0002_initial")]

    operations = [migrations.RunPython(hold, let_go, elidable=False)]
