"""How long to wait before the next try: doubling, spread at random, never over an hour. Common practice, no source."""

from datetime import timedelta

FIRST_SECONDS = 60
MOST_SECONDS = 3600
SPREAD = 0.25


def wait(tries: int, chance: float) -> timedelta:
    """After so many tries (1 or more) that failed. `chance`, from 0 to 1, spreads it by a quarter either way."""
    seconds = min(FIRST_SECONDS * 2 ** min(tries - 1, 10), MOST_SECONDS)
    return timedelta(seconds=seconds * (1 + SPREAD * (2 * chance - 1)))
