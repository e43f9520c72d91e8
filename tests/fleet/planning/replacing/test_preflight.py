from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from fleet.planning.capabilities import FirmwareState
from fleet.planning.compatibility import Verdict
from fleet.planning.phrases.fit import Fit
from fleet.planning.phrases.swap import Hour
from fleet.planning.replacing.preflight import Item, Met, PreflightFacts, Window, is_clear, preflight

DAY = date(2027, 3, 26)
WINDOW = Window(datetime(2027, 3, 26, 10, tzinfo=UTC), datetime(2027, 3, 26, 12, tzinfo=UTC))
ALL_WELL = PreflightFacts(
    copy_age_hours=5,
    start_value=17_080_656,
    verdict=Verdict.CLEAN,
    verdict_why=Fit.TRIED_NEVER.of(source="Alder A2 6.9", target="Alder A2 6.10"),
    blank_proven=True,
    firmware="7.2",
    firmware_state=FirmwareState.ALLOWED,
    way_back_judged=True,
    connection_path="/dev/by-name/head",
    controller="the box in the hall",
    driver=Verdict.CLEAN,
    power_known=True,
    region_allows=True,
    safety_devices=2,
    safety_without_fall_back=(),
    fall_backs_told=True,
    window=WINDOW,
    needs_licence=True,
    licence_until=DAY,
    technician="Noor",
    needs_two=True,
    second_named="Pekka",
    consent_by="Ingunn",
    access_known=True,
)
WANTING = [
    ("an old copy", Item.COPY, Met.NO, {"copy_age_hours": 24.1}),
    ("a copy of a day", Item.COPY, Met.NO, {"copy_age_hours": 24}),
    ("no copy", Item.COPY, Met.NO, {"copy_age_hours": None}),
    ("no counter on record", Item.NUMBER, Met.UNKNOWN, {"start_value": None}),
    ("a number past half", Item.NUMBER, Met.NO, {"start_value": 2**31}),
    ("a number at the end", Item.NUMBER, Met.NO, {"start_value": 2**32 - 1}),
    ("no verdict", Item.VERDICT, Met.UNKNOWN, {"verdict": None}),
    ("untested", Item.VERDICT, Met.UNKNOWN, {"verdict": Verdict.UNTESTED}),
    ("does not fit", Item.VERDICT, Met.NO, {"verdict": Verdict.NO}),
    ("not blank", Item.BLANK, Met.NO, {"blank_proven": False}),
    ("blank not known", Item.BLANK, Met.UNKNOWN, {"blank_proven": None}),
    ("firmware not known", Item.FIRMWARE, Met.UNKNOWN, {"firmware": None}),
    ("firmware without policy", Item.FIRMWARE, Met.UNKNOWN, {"firmware_state": None}),
    ("firmware barred", Item.FIRMWARE, Met.NO, {"firmware_state": FirmwareState.BARRED}),
    ("firmware on hold", Item.FIRMWARE, Met.NO, {"firmware_state": FirmwareState.HOLD}),
    ("way back not judged", Item.WAY_BACK, Met.NO, {"way_back_judged": False}),
    ("no path", Item.CONNECTION, Met.UNKNOWN, {"connection_path": ""}),
    ("no controller", Item.CONNECTION, Met.UNKNOWN, {"controller": ""}),
    ("driver not known", Item.CONNECTION, Met.UNKNOWN, {"driver": Verdict.UNTESTED}),
    ("no driver", Item.CONNECTION, Met.NO, {"driver": Verdict.NO}),
    ("power not known", Item.POWER, Met.UNKNOWN, {"power_known": False}),
    ("channels not known", Item.POWER, Met.UNKNOWN, {"region_allows": None}),
    ("channel not allowed", Item.POWER, Met.NO, {"region_allows": False}),
    ("a lock without a fall-back", Item.FALL_BACKS, Met.NO, {"safety_without_fall_back": ("front door",)}),
    ("nobody was told", Item.FALL_BACKS, Met.NO, {"fall_backs_told": False}),
    ("no time agreed", Item.WINDOW, Met.UNKNOWN, {"window": None, "needs_licence": False}),
    ("frost", Item.WINDOW, Met.NO, {"window": replace(WINDOW, against=(Hour.FROST.of(degrees=-4),))}),
    ("nobody named", Item.PEOPLE, Met.UNKNOWN, {"technician": ""}),
    ("licence ended the day before", Item.PEOPLE, Met.NO, {"licence_until": date(2027, 3, 25)}),
    ("licence not known", Item.PEOPLE, Met.NO, {"licence_until": None}),
    ("a second person wanting", Item.PEOPLE, Met.NO, {"second_named": ""}),
    ("no consent", Item.CONSENT, Met.NO, {"consent_by": ""}),
    ("no way in", Item.CONSENT, Met.UNKNOWN, {"access_known": False}),
]


def test_a_swap_with_everything_in_order_is_clear():
    findings = preflight(ALL_WELL)

    assert [finding.item for finding in findings] == list(Item)
    assert len(findings) == 12
    assert is_clear(findings)
    assert all(finding.act == "" for finding in findings)


@pytest.mark.parametrize(
    ("item", "met", "change"), [row[1:] for row in WANTING], ids=[row[0] for row in WANTING]
)
def test_any_item_that_is_wanting_holds_the_swap_and_only_that_one(item, met, change):
    findings = preflight(replace(ALL_WELL, **change))

    assert {finding.item: finding.met for finding in findings if finding.met is not Met.YES} == {item: met}
    assert not is_clear(findings)
    assert next(finding for finding in findings if finding.item is item).act


def test_the_licence_still_counts_on_its_last_day():
    assert is_clear(preflight(replace(ALL_WELL, licence_until=WINDOW.ends.date())))


def test_in_a_home_without_safety_devices_somebody_asks_all_the_same():
    assert is_clear(preflight(replace(ALL_WELL, safety_devices=0)))
    assert not is_clear(preflight(replace(ALL_WELL, safety_devices=0, fall_backs_told=False)))
