from decimal import Decimal

import pytest

from fleet.planning.money import smallest_unit


@pytest.mark.parametrize(
    ("currency", "unit"),
    [("EUR", "0.01"), ("NOK", "0.01"), ("JPY", "1"), ("ISK", "1"), ("KWD", "0.001"), ("TND", "0.001")],
    ids=lambda value: f"{value} (ISO 4217)",
)
def test_a_currency_has_its_smallest_unit(currency, unit):
    assert smallest_unit(currency) == Decimal(unit)
