"""The smallest unit of a currency (ISO 4217, minor units)."""

from decimal import Decimal

WITHOUT_COINS = frozenset(
    {
        "BIF",
        "CLP",
        "DJF",
        "GNF",
        "ISK",
        "JPY",
        "KMF",
        "KRW",
        "PYG",
        "RWF",
        "UGX",
        "VND",
        "VUV",
        "XAF",
        "XOF",
        "XPF",
    }
)
IN_THOUSANDTHS = frozenset({"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"})


def smallest_unit(currency: str) -> Decimal:
    """Such as 0.01 for EUR, 1 for JPY, 0.001 for KWD."""
    if currency in WITHOUT_COINS:
        return Decimal(1)
    return Decimal("0.001") if currency in IN_THOUSANDTHS else Decimal("0.01")
