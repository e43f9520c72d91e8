"""Encodings of the paper copy against what is published."""

import pytest
from cryptography.hazmat.primitives.kdf.argon2 import Argon2id

from reports.paper.making import to_base45
from reports.paper.opening import BASE45, CROCKFORD, from_base45

RFC_9285 = [
    pytest.param(b"AB", "BB8", id="RFC 9285 section 4.3, example 1"),
    pytest.param(b"Hello!!", "%69 VD92EX0", id="RFC 9285 section 4.3, example 2"),
    pytest.param(b"base-45", "UJCLQE7W581", id="RFC 9285 section 4.3, example 3"),
    pytest.param(b"ietf!", "QED8WEX0", id="RFC 9285 section 4.4, example 1"),
]


@pytest.mark.parametrize(("octets", "text"), RFC_9285)
def test_base_45_is_that_of_the_rfc(octets, text):
    assert to_base45(octets) == text
    assert from_base45(text) == octets


def test_base_45_is_the_alphanumeric_set_of_codes():
    # ISO/IEC 18004, table of the alphanumeric mode, in order of its values (from memory).
    assert BASE45 == "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"


def test_the_key_is_argon2id():
    # RFC 9106, section 5.3.
    tag = Argon2id(
        salt=b"\x02" * 16,
        length=32,
        iterations=3,
        lanes=4,
        memory_cost=32,
        ad=b"\x04" * 12,
        secret=b"\x03" * 8,
    ).derive(b"\x01" * 32)

    assert tag.hex() == "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"


def test_the_alphabet_to_type_is_crockfords():
    # Crockford's base 32: digits and letters without I, L, O and U (published alphabet; from memory).
    assert CROCKFORD == "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
