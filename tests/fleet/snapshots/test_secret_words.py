import pytest

from fleet.snapshots.secret_words import looks_secret

OCTETS = bytes(range(0x38, 0x48))


@pytest.mark.parametrize(
    "text",
    [
        OCTETS.hex(),
        OCTETS.hex().upper(),
        OCTETS.hex(" "),
        OCTETS.hex("-"),
        ", ".join(f"{octet:02X}" for octet in OCTETS),
        ", ".join(f"0x{octet:02x}" for octet in OCTETS),
        f"it is {OCTETS.hex(':')} as I said",
        "ODk6Ozw9Pj9AQUJDREVGRw==",
    ],
)
def test_a_key_is_seen_in_every_way_people_copy_one(text):
    assert looks_secret(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "The head radio drops devices since Friday 26 March 2027, 10:45",
        "Donaudampfschifffahrtsgesellschaft, Vertrag 2027-03-26/0017",
        "call +44 1632 960123 or +44 1632 960124 first",
        "02A4 C138 F00D 0011 is the address",
        "as the insurer asked, file AB-2027-000123-X",
    ],
)
def test_what_people_write_is_no_key(text):
    assert not looks_secret(text)
