"""Figures as sheets print them."""

from decimal import Decimal


def tenths(value: float | None, places: int = 1) -> Decimal | None:
    """Rounded half to even to so many places, as a decimal number; None of None."""
    return None if value is None else Decimal(f"{value:.{places}f}")


def percent(share: float | None) -> Decimal | None:
    """A share of 1 as per cent with one place."""
    return None if share is None else tenths(share * 100)
