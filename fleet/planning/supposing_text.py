"""What people type of a supposition in one line each: a build, spares at a place, a policy, a price."""

from decimal import Decimal, InvalidOperation

from fleet.planning.capabilities import FirmwareState
from fleet.planning.supposing import AddedSpare, SupposedPolicy, SupposingError

SPARE_FORM = "MODEL@VERSION=COUNT@PLACE, such as C3@R3.14=2@SHELF"
POLICY_FORM = "MODEL@VERSION=POLICY, such as C3@R3.14=barred"
PRICE_FORM = "MODEL=PRICE, such as C3=49.50"
POLICIES = ", ".join(state.value for state in FirmwareState)


def read_spare(text: str, prices: dict[str, Decimal]) -> AddedSpare:
    """ "C3@R3.14=2@SHELF"; its price is that of the model, where one was typed. Raises SupposingError."""
    build, equals, rest = text.partition("=")
    count, at, place = rest.partition("@")
    model, version = _build("spare", text, build, SPARE_FORM)
    if not (equals and at and place.strip()):
        raise SupposingError("spare", f"“{text}” does not say how many spares are where; write {SPARE_FORM}.")
    return AddedSpare(model, version, _whole(text, count), place.strip(), prices.get(model))


def read_policy(text: str) -> SupposedPolicy:
    """ "C3@R3.14=barred". Raises SupposingError."""
    build, _, policy = text.rpartition("=")
    model, version = _build("firmware", text, build, POLICY_FORM)
    try:
        return SupposedPolicy(model, version, FirmwareState(policy.strip().lower()))
    except ValueError:
        raise SupposingError("firmware", f"“{policy}” is no policy; write one of {POLICIES}.") from None


def read_price(text: str) -> tuple[str, Decimal]:
    """ "C3=49.50": the model and the price of one. Raises SupposingError."""
    model, _, price = text.rpartition("=")
    try:
        if model.strip():
            return model.strip(), Decimal(price.strip())
    except InvalidOperation:
        pass
    raise SupposingError("price", f"“{text}” is no price; write {PRICE_FORM}.")


def read_build(field: str, text: str) -> tuple[str, str]:
    """ "C3@R3.14": model and version. Raises SupposingError."""
    return _build(field, text, text, "MODEL@VERSION, such as C3@R3.14")


def _build(field: str, whole: str, text: str, form: str) -> tuple[str, str]:
    model, _, version = text.partition("@")
    if not (model.strip() and version.strip()):
        raise SupposingError(field, f"“{whole}” does not name a model and its firmware; write {form}.")
    return model.strip(), version.strip()


def _whole(text: str, count: str) -> int:
    try:
        return int(count)
    except ValueError:
        raise SupposingError(
            "spare", f"“{count}” in “{text}” is no count of spares; write {SPARE_FORM}."
        ) from None
