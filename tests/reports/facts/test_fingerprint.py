from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from reports.facts.errors import FactsError
from reports.facts.fingerprint import digest, fingerprint, short_form
from reports.facts.head import Issue
from reports.facts.snapshots import SnapshotMark
from tests.reports import samples


def test_equal_facts_have_equal_fingerprints():
    assert fingerprint(samples.kelp_handover()) == fingerprint(samples.kelp_handover())


def test_a_fingerprint_is_64_hex_digits():
    found = fingerprint(samples.kelp_handover())
    assert len(found) == 64
    assert set(found) <= set("0123456789abcdef")


def test_another_number_revision_and_date_leave_the_fingerprint():
    facts = samples.kelp_handover()
    later = replace(facts, issue=Issue("H-000099-K", 4, samples.ISSUED + timedelta(days=30), 3))
    assert fingerprint(later) == fingerprint(facts)


def test_another_number_changes_the_digest_that_is_printed():
    facts = samples.kelp_handover()
    later = replace(facts, issue=replace(facts.issue, number="H-000099-K"))
    assert digest(later) != digest(facts)


@pytest.mark.parametrize(
    "name", [each.name for each in fields(samples.kelp_handover()) if each.name != "issue"]
)
def test_each_fact_that_lasts_is_in_the_fingerprint(name):
    facts = samples.kelp_handover()
    other = samples.bare_handover()
    value = getattr(other, name)
    if value == getattr(facts, name):
        value = replace(value, technician="Lucía Brandtner")
    without_counts = replace(facts, meshes=tuple(replace(mesh, counts=None) for mesh in facts.meshes))
    assert fingerprint(replace(without_counts, **{name: value})) != fingerprint(without_counts)


def test_a_newer_snapshot_does_not_make_a_recovery_sheet_stale():
    facts = samples.kelp_recovery()
    newer = replace(
        facts, snapshot=SnapshotMark(datetime(2027, 3, 27, 2, 0, tzinfo=UTC), "sound", "ab" * 32, 31, 4)
    )
    assert fingerprint(newer) == fingerprint(facts)


def test_a_newer_snapshot_changes_the_digest_that_is_printed():
    facts = samples.kelp_recovery()
    newer = replace(
        facts, snapshot=SnapshotMark(datetime(2027, 3, 27, 2, 0, tzinfo=UTC), "sound", "ab" * 32, 31, 4)
    )
    assert digest(newer) != digest(facts)


def test_a_changed_key_makes_a_recovery_sheet_stale():
    facts = samples.kelp_recovery()
    assert fingerprint(replace(facts, mesh=replace(facts.mesh, key_mark="00000001"))) != fingerprint(facts)


def test_one_moment_in_two_zones_is_one_fact():
    facts = samples.kelp_handover()
    there = replace(facts, issue=replace(facts.issue, issued_at=samples.ISSUED.astimezone(UTC)))
    assert digest(there) == digest(facts)


def test_the_same_hours_written_with_more_noughts_are_one_fact():
    facts = samples.kelp_recovery()
    assert facts.rejoin_hours is not None
    same = replace(facts, rejoin_hours=replace(facts.rejoin_hours, high=Decimal("6.00")))
    assert digest(same) == digest(facts)


def test_a_value_that_is_no_fact_is_refused_by_its_type():
    facts = replace(samples.kelp_handover(), battery_disposal=1.5)  # type: ignore[arg-type]
    with pytest.raises(FactsError, match="float cannot be part of a sheet's facts"):
        fingerprint(facts)


def test_the_short_form_is_sixteen_digits_in_fours():
    assert short_form("8f3a11c290ab77d0" + "0" * 48) == "8F3A 11C2 90AB 77D0"
