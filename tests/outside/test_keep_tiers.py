"""Keep tiers against the published example and against pandas, which groups by its own calendar.

The example (trade rule C11): one copy a day at 03:00 local time from 2020-01-01 to 2027-03-26.
"""

import random
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from fleet.planning.keeping import Copy, KeepRule, keep

ZONES = (
    "UTC",
    "Europe/Oslo",
    "Atlantic/Azores",
    "Asia/Kathmandu",
    "Asia/Tokyo",
    "Pacific/Chatham",
    "Pacific/Apia",
    "America/St_Johns",
    "Australia/Lord_Howe",
    "Africa/Casablanca",
    "Asia/Amman",
)

KEPT_OF_THE_EXAMPLE = {
    "2027-03-26": "day 2027-03-26, week 2027-W12, month 2027-03, year 2027, last sound",
    "2027-03-25": "day 2027-03-25",
    "2027-03-24": "day 2027-03-24",
    "2027-03-23": "day 2027-03-23",
    "2027-03-22": "day 2027-03-22",
    "2027-03-21": "day 2027-03-21, week 2027-W11",
    "2027-03-20": "day 2027-03-20",
    "2027-03-19": "day 2027-03-19",
    "2027-03-18": "day 2027-03-18",
    "2027-03-17": "day 2027-03-17",
    "2027-03-16": "day 2027-03-16",
    "2027-03-15": "day 2027-03-15",
    "2027-03-14": "day 2027-03-14, week 2027-W10",
    "2027-03-13": "day 2027-03-13",
    "2027-03-07": "week 2027-W09",
    "2027-02-28": "week 2027-W08, month 2027-02",
    "2027-02-21": "week 2027-W07",
    "2027-02-14": "week 2027-W06",
    "2027-02-07": "week 2027-W05",
    "2027-01-31": "month 2027-01",
    "2026-12-31": "month 2026-12, year 2026",
    "2026-11-30": "month 2026-11",
    "2026-10-31": "month 2026-10",
    "2026-09-30": "month 2026-09",
    "2026-08-31": "month 2026-08",
    "2026-07-31": "month 2026-07",
    "2026-06-30": "month 2026-06",
    "2026-05-31": "month 2026-05",
    "2026-04-30": "month 2026-04",
    "2025-12-31": "year 2025",
    "2024-12-31": "year 2024",
    "2023-12-31": "year 2023",
}


def dailies(zone: ZoneInfo) -> list[Copy[str]]:
    """One copy at 03:00 local on each day of the example, oldest first, keyed by its local date."""
    days = [datetime(2020, 1, 1, 3, tzinfo=zone) + timedelta(days=n) for n in range(2642)]
    return [Copy(day.date().isoformat(), day.astimezone(UTC)) for day in days]


def pandas_keeps(copies: list[Copy[int]], rule: KeepRule, zone: str) -> dict[int, set[str]]:
    frame = pd.DataFrame({"key": [c.key for c in copies], "sound": [c.sound for c in copies]})
    frame["taken"] = pd.to_datetime(pd.Series([c.taken_at for c in copies]), utc=True)
    local = frame["taken"].dt.tz_convert(zone).dt.tz_localize(None)
    iso = local.dt.isocalendar()
    labels = {
        "day": (local.dt.to_period("D").astype(str), rule.days),
        "week": (iso["year"].astype(str) + "-W" + iso["week"].astype(str).str.zfill(2), rule.weeks),
        "month": (local.dt.to_period("M").astype(str), rule.months),
        "year": (local.dt.to_period("Y").astype(str), rule.years),
    }
    kept: dict[int, set[str]] = {}
    for tier, (label, wanted) in labels.items():
        frame["label"] = label
        best = frame.sort_values(["sound", "taken"]).groupby("label").tail(1)
        for row in best.sort_values("label").tail(wanted).itertuples():
            kept.setdefault(row.key, set()).add(f"{tier} {row.label}")
    sound = frame[frame["sound"]].sort_values("taken").tail(1)
    for key in sound["key"]:
        kept.setdefault(key, set()).add("last sound")
    return kept


def random_history(seed: int) -> tuple[list[Copy[int]], KeepRule, str]:
    """A history, newest first, with bursts, gaps of half a year and unsound stretches; a rule; a zone."""
    dice = random.Random(seed)
    zone = ZONES[seed % len(ZONES)]
    at = datetime(dice.randint(2004, 2026), dice.randint(1, 12), dice.randint(1, 28), tzinfo=UTC)
    soundness = dice.choice((0.1, 0.5, 0.95, 1.0))
    copies: list[Copy[int]] = []
    for key in range(dice.randint(1, 400)):
        minutes = dice.choice((dice.randint(1, 90), dice.randint(60, 1500), 1440, dice.randint(1440, 20_000)))
        at += timedelta(minutes=minutes if dice.random() > 0.01 else 260_000)
        copies.append(Copy(key, at, dice.random() < soundness))
    rule = KeepRule(dice.randint(0, 20), dice.randint(0, 10), dice.randint(0, 14), dice.randint(0, 6))
    return copies[::-1], rule if seed % 2 else KeepRule(), zone


@pytest.mark.parametrize("zone", ZONES, ids=lambda zone: f"trade-C11-{zone}")
def test_of_2642_dailies_at_three_in_the_morning_32_are_kept(zone):
    copies = dailies(ZoneInfo(zone))
    kept = keep(reversed(copies), KeepRule(), ZoneInfo(zone))
    assert (len(copies), len(kept)) == (2642, 32)


def test_each_of_the_32_kept_says_which_tiers_hold_it():
    zone = ZoneInfo("Pacific/Chatham")
    kept = keep(reversed(dailies(zone)), KeepRule(), zone)
    assert {key: ", ".join(reasons) for key, reasons in kept.items()} == KEPT_OF_THE_EXAMPLE


def test_keeping_again_keeps_the_same_32():
    zone = ZoneInfo("Europe/Oslo")
    copies = dailies(zone)
    kept = keep(reversed(copies), KeepRule(), zone)
    left = [copy for copy in reversed(copies) if copy.key in kept]
    assert keep(left, KeepRule(), zone) == kept


def test_thinning_every_night_keeps_the_same_32():
    zone = ZoneInfo("America/St_Johns")
    left: list[Copy[str]] = []
    for copy in dailies(zone):
        left.insert(0, copy)
        kept = keep(left, KeepRule(), zone)
        left = [each for each in left if each.key in kept]
    assert {copy.key for copy in left} == set(KEPT_OF_THE_EXAMPLE)


@pytest.mark.parametrize("seed", range(200), ids=lambda seed: f"pandas-{seed}")
def test_pandas_keeps_the_same_copies_for_the_same_tiers(seed):
    copies, rule, zone = random_history(seed)
    kept = keep(copies, rule, ZoneInfo(zone))
    assert {key: set(reasons) for key, reasons in kept.items()} == pandas_keeps(copies, rule, zone)


@pytest.mark.parametrize(
    ("day", "label"),
    [
        ("2005-01-01", "week 2004-W53"),
        ("2008-12-29", "week 2009-W01"),
        ("2010-01-03", "week 2009-W53"),
        ("2026-12-31", "week 2026-W53"),
        ("2027-01-03", "week 2026-W53"),
    ],
    ids=lambda value: f"ISO-8601-{value}",
)
def test_weeks_are_those_of_iso_8601(day, label):
    copy = Copy("only", datetime.fromisoformat(f"{day}T12:00:00+00:00"))
    assert label in keep([copy], KeepRule(), ZoneInfo("UTC"))["only"]
