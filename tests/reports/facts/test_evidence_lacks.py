from dataclasses import replace
from datetime import date

import pytest

from reports.facts.evidence import Annex, ChainEnd, DaysInState, Lack, MeshEvidence, MonthOfCopies, NotShown
from reports.facts.evidence_lacks import days_outside, lacks
from tests.reports import samples_of_book

FIRST, LAST = date(2027, 1, 1), date(2027, 1, 31)
FULL = MeshEvidence(
    "KELP-7-A/3",
    None,
    False,
    service=samples_of_book.evidence().meshes[0].service,
    months=(MonthOfCopies(FIRST, 31, 0, sound=31),),
    drills=(replace(samples_of_book.evidence().meshes[0].drills[0], kind="live"),),
    states=(DaysInState("covered", 31),),
)


CHAINED = Annex(1, "a" * 64, (), ChainEnd(7, "b" * 64))


def found_in(mesh: MeshEvidence, **given) -> set[tuple[Lack, int | None]]:
    defaults = {
        "meshes": [mesh],
        "papers": (),
        "annex": CHAINED,
        "promised": [(FIRST, LAST)],
        "served": {mesh.code: [(FIRST, LAST)]},
    }
    return {(each.lack, each.count) for each in lacks(**{**defaults, **given}, first=FIRST, last=LAST)}


ALWAYS = {(Lack.FIRMWARE, None)}


def test_of_a_month_with_everything_only_what_the_book_never_records_is_missing():
    assert found_in(FULL) == ALWAYS


@pytest.mark.parametrize(
    ("change", "lack"),
    [
        ({"months": (MonthOfCopies(FIRST, 31, 15, sound=16),)}, (Lack.GAPS, 15)),
        ({"months": (MonthOfCopies(FIRST, 31, 31, not_sound=4),)}, (Lack.NO_COPY, None)),
        ({"drills": ()}, (Lack.NO_DRILL, None)),
        ({"drills": (replace(FULL.drills[0], kind="paper"),)}, (Lack.NO_DRILL, None)),
        ({"drills": (replace(FULL.drills[0], kind="bench"),)}, (Lack.NO_LIVE_DRILL, None)),
        ({"states": (DaysInState("covered", 20), DaysInState(None, 11))}, (Lack.NOT_JUDGED, 11)),
    ],
)
def test_each_hole_in_what_a_mesh_shows_is_named(change, lack):
    assert found_in(replace(FULL, **change)) == {*ALWAYS, lack}


def test_days_without_a_radio_in_service_are_counted():
    assert (Lack.NO_SERVICE, 11) in found_in(FULL, served={FULL.code: [(FIRST, date(2027, 1, 20))]})


def test_days_without_an_agreement_are_counted():
    assert (Lack.NO_PROMISE, 31) in found_in(FULL, promised=[])


def test_sheets_without_a_signature_are_counted():
    assert (Lack.UNSIGNED, 1) in found_in(FULL, papers=samples_of_book.evidence().papers)


def test_lines_that_are_not_chained_are_named():
    assert (Lack.NO_CHAIN, None) in found_in(FULL, annex=Annex(1, "a" * 64, ()))


def test_a_home_without_a_mesh_shows_nothing():
    assert (Lack.NO_MESH, None) in found_in(FULL, meshes=[], annex=Annex(0, "", ()))


def test_an_empty_journal_is_named_as_such():
    empty = Annex(0, "", ())
    assert NotShown(Lack.NO_JOURNAL) in lacks([FULL], (), empty, [(FIRST, LAST)], {}, FIRST, LAST)


@pytest.mark.parametrize(
    ("spans", "outside"),
    [
        ([], 31),
        ([(date(2026, 1, 1), date(2028, 1, 1))], 0),
        ([(date(2027, 1, 5), date(2027, 1, 9)), (date(2027, 1, 8), date(2027, 1, 12))], 23),
        ([(date(2027, 2, 5), date(2027, 2, 9))], 31),
        ([(date(2026, 1, 1), date(2026, 12, 31))], 31),
        ([(date(2027, 1, 31), date(2027, 1, 31)), (FIRST, FIRST)], 29),
    ],
)
def test_days_outside_all_spans(spans, outside):
    assert days_outside(spans, FIRST, LAST) == outside
