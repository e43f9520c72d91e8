import random
from datetime import UTC, datetime, timedelta

import pytest

from fleet.mesh.counter_ledger import deciding
from fleet.mesh.counters import Evidence, EvidenceKind, number_to_write

START = datetime(2027, 1, 1, tzinfo=UTC)
DAY = timedelta(days=1)
RATE = 3.0


def seen(value, day):
    return Evidence(value, START + DAY * day)


def given(value, day):
    return Evidence(value, START + DAY * day, EvidenceKind.RESTORE)


def test_of_a_rising_counter_only_the_last_sighting_decides():
    assert deciding([seen(100, 0), seen(200, 1), seen(300, 2)]) == (seen(300, 2),)


def test_a_sighting_higher_than_every_later_one_still_decides():
    assert deciding([seen(900, 0), seen(200, 1), seen(300, 2)]) == (seen(900, 0), seen(300, 2))


def test_a_number_given_out_is_never_dropped_and_ends_a_stretch():
    lines = [seen(100, 0), seen(200, 1), given(5_000, 2), seen(6_000, 3), seen(7_000, 4)]

    assert deciding(lines) == (seen(200, 1), given(5_000, 2), seen(7_000, 4))


def test_a_line_from_a_clock_that_ran_ahead_supersedes_nothing():
    ahead = Evidence(10**6, START + 900 * DAY, landed_at=START + 3 * DAY)

    assert deciding([seen(100, 0), ahead]) == (seen(100, 0), ahead)


def test_two_years_of_dailies_cost_no_more_than_the_last_one():
    """By hand: 12 h at 3/s doubled is 259,200 frames above the last value, plus the margin of 65,536."""
    daily = [seen(259_200 * day, day) for day in range(730)]
    now = START + 729 * DAY + timedelta(hours=12)

    value = number_to_write(deciding(daily), now, RATE).value

    assert value == 259_200 * 729 + 259_200 + 65_536


def test_an_empty_ledger_stays_empty():
    assert deciding([]) == ()


@pytest.mark.parametrize("seed", range(20))
def test_no_voice_however_hidden_ever_reaches_the_number_to_write(seed):
    """5,000 random histories a seed: old radios left running, restores on several spares, sightings of any of them."""
    chance = random.Random(seed)
    for _ in range(5_000):
        now, lines = START, []
        voices = [(START, float(chance.randrange(10**6)), chance.uniform(0, RATE))]
        lines.append(seen(int(voices[0][1]), 0))
        for _ in range(chance.randrange(1, 8)):
            now += timedelta(seconds=chance.randrange(1, 40 * 86_400))
            if chance.random() < 0.3:
                number = number_to_write(deciding(lines), now, RATE)
                lines.append(Evidence(number.value, now, EvidenceKind.RESTORE))
                voices.append((now, float(number.value), chance.uniform(0, RATE)))
            else:
                since, first, rate = chance.choice(voices)
                lines.append(Evidence(int(first + rate * (now - since).total_seconds()), now))
        now += timedelta(seconds=chance.randrange(40 * 86_400))
        highest = max(first + rate * (now - since).total_seconds() for since, first, rate in voices)
        assert number_to_write(deciding(lines), now, RATE).value > highest
