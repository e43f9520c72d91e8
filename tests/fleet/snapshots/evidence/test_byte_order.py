import pytest

from fleet.snapshots.evidence.byte_order import order_of, turn

ONE_MAKER = (0x02A4C138F00D0011, 0x02A4C1384E7721F8, 0x02A4C138B0C35A66)
INDIVIDUAL = (0x1411223344556677, 0x9C0102030405068B, 0x5CAABBCCDDEEFF13, 0xE01234567890ABC1)
FROM_48_BITS = (0x021122FFFE334456, 0x7A5566FFFE778898)


@pytest.mark.parametrize("addresses", [ONE_MAKER, INDIVIDUAL, FROM_48_BITS])
def test_addresses_as_on_labels_are_taken_as_they_stand(addresses: tuple[int, ...]) -> None:
    order = order_of(addresses)

    assert not order.turned
    assert order.strength > 0.3


@pytest.mark.parametrize("addresses", [ONE_MAKER, INDIVIDUAL, FROM_48_BITS])
def test_addresses_as_over_the_air_are_turned(addresses: tuple[int, ...]) -> None:
    order = order_of([turn(address) for address in addresses])

    assert order.turned
    assert order.strength > 0.3


def test_the_reason_is_told() -> None:
    assert (
        order_of(ONE_MAKER).why
        == "the leading octets repeat from address to address and the last ones do not"
    )


@pytest.mark.parametrize("addresses", [(), (0x1411223344556678,), (0xA1B2C3D4E5F60701, 0x1B2C3D4E5F607185)])
def test_without_a_sign_they_are_taken_as_they_stand(addresses: tuple[int, ...]) -> None:
    order = order_of(addresses)

    assert (order.turned, order.strength) == (False, 0.0)


def test_turning_reverses_octets() -> None:
    assert turn(0x02A4C138F00D0011) == 0x11000DF038C1A402
