"""Sealing, key wrap and digests against published values. The source stands in each test's id.

The files of whole suites come from the check-only package cryptography_vectors.
"""

from collections.abc import Iterator

import cryptography_vectors
import pytest

from fleet.snapshots.digests import digest_of_bytes, keyed_digest
from fleet.snapshots.sealing import SealError, decrypt, encrypt, open_sealed, seal, unwrap, wrap

H = bytes.fromhex


def cases(*path: str, **wanted: str) -> Iterator[dict[str, str]]:
    """Cases of a CAVS file: the settings in brackets above them that are wanted, the fields of each."""
    settings: dict[str, str] = {}
    case: dict[str, str] = {}
    with cryptography_vectors.open_vector_file("/".join(path), "r") as file:
        for line in [*file, ""]:
            name, _, value = (part.strip() for part in line.strip("[]\n").partition("="))
            if not line or line.startswith("[") or name.upper() == "COUNT":
                if case and wanted.items() <= settings.items():
                    yield case
                case = {}
            if line.startswith("["):
                settings[name] = value
            elif name and not line.startswith("#"):
                case[name] = value


@pytest.mark.parametrize(
    ("key", "plain", "cipher"),
    [
        pytest.param(
            "00" * 16, "", "58e2fccefa7e3061367f1d57a4e7455a", id="McGrew-Viega GCM spec, case 1, AES-128"
        ),
        pytest.param(
            "00" * 16,
            "00" * 16,
            "0388dace60b6a392f328c2b971b2fe78ab6e47d42cec13bdf53a67b21257bddf",
            id="McGrew-Viega GCM spec, case 2, AES-128",
        ),
        pytest.param(
            "00" * 32,
            "",
            "530f8afbc74536b9a963b4f1c4cb738b",
            id="McGrew-Viega GCM spec, case 13, AES-256, recalled",
        ),
        pytest.param(
            "00" * 32,
            "00" * 16,
            "cea7403d4d606b6e074ec5d3baf39d18d0d1c8a799996bf0265b98b5d48ab919",
            id="McGrew-Viega GCM spec, case 14, AES-256, recalled",
        ),
    ],
)
def test_aes_gcm_gives_the_published_cipher_text_and_tag(key: str, plain: str, cipher: str):
    assert encrypt(H(key), H(plain), b"", bytes(12)) == H(cipher)


def test_aes_256_gcm_agrees_with_every_case_of_nist_cavs_gcmencryptextiv256():
    found = list(cases("ciphers", "AES", "GCM", "gcmEncryptExtIV256.rsp", IVlen="96", Taglen="128"))
    assert len(found) == 375
    for case in found:
        cipher = encrypt(H(case["Key"]), H(case["PT"]), H(case["AAD"]), H(case["IV"]))
        assert cipher == H(case["CT"] + case["Tag"])


def test_aes_256_gcm_refuses_every_forgery_of_nist_cavs_gcmdecrypt256():
    found = list(cases("ciphers", "AES", "GCM", "gcmDecrypt256.rsp", IVlen="96", Taglen="128"))
    forged = [case for case in found if "FAIL" in case]
    assert len(forged) > 100
    for case in forged:
        with pytest.raises(SealError):
            decrypt(H(case["Key"]), H(case["CT"] + case["Tag"]), H(case["AAD"]), H(case["IV"]))


def test_a_sealed_document_is_nist_sp_800_38d_gcm_with_the_version_before_the_associated_data():
    key, nonce = bytes(range(32)), bytes(12)
    sealed = seal(key, b"plain", b"place", nonce)
    assert sealed == b"\x01" + nonce + encrypt(key, b"plain", b"\x01place", nonce)
    assert open_sealed(key, sealed, b"place") == b"plain"


@pytest.mark.parametrize(
    ("kek", "data", "wrapped"),
    [
        pytest.param(
            "000102030405060708090A0B0C0D0E0F",
            "00112233445566778899AABBCCDDEEFF",
            "1FA68B0A8112B447AEF34BD8FB5A7B829D3E862371D2CFE5",
            id="RFC 3394 4.1",
        ),
        pytest.param(
            "000102030405060708090A0B0C0D0E0F101112131415161718191A1B1C1D1E1F",
            "00112233445566778899AABBCCDDEEFF000102030405060708090A0B0C0D0E0F",
            "28C9F404C4B810F4CBCCB35CFB87F8263F5786E2D80ED326CBC7F0E71A99F43BFB988B9B7A02DD21",
            id="RFC 3394 4.6",
        ),
    ],
)
def test_a_key_is_wrapped_and_unwrapped_as_published(kek: str, data: str, wrapped: str):
    assert wrap(H(kek), H(data)) == H(wrapped)
    assert unwrap(H(kek), H(wrapped)) == H(data)


@pytest.mark.parametrize("file", ["KW_AD_128.txt", "KW_AD_256.txt"])
def test_every_unwrap_case_of_nist_cavs_key_wrap_is_met(file: str):
    found = list(cases("keywrap", "kwtestvectors", file))
    assert len(found) == 500
    for case in found:
        if "FAIL" in case:
            with pytest.raises(SealError):
                unwrap(H(case["K"]), H(case["C"]))
        else:
            assert unwrap(H(case["K"]), H(case["C"])) == H(case["P"])


@pytest.mark.parametrize(
    ("key", "data", "digest"),
    [
        pytest.param(
            "0b" * 20,
            "4869205468657265",
            "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
            id="RFC 4231 4.2",
        ),
        pytest.param(
            "aa" * 20,
            "dd" * 50,
            "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe",
            id="RFC 4231 4.4",
        ),
        pytest.param(
            "0102030405060708090a0b0c0d0e0f10111213141516171819",
            "cd" * 50,
            "82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b",
            id="RFC 4231 4.5",
        ),
        pytest.param(
            "aa" * 131,
            "54657374205573696e67204c6172676572205468616e20426c6f636b2d53697a65204b6579202d2048617368204b657920"
            "4669727374",
            "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
            id="RFC 4231 4.7",
        ),
    ],
)
def test_a_keyed_digest_is_as_published(key: str, data: str, digest: str):
    assert keyed_digest(H(key), H(data)) == H(digest)


@pytest.mark.parametrize(
    ("data", "digest"),
    [
        pytest.param(
            b"abc",
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            id="FIPS 180-4, SHA-256 example, one block",
        ),
        pytest.param(
            b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            id="FIPS 180-4, SHA-256 example, two blocks",
        ),
    ],
)
def test_a_digest_is_as_published(data: bytes, digest: str):
    assert digest_of_bytes(data) == H(digest)
