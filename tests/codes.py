"""Install codes for tests: invented, with their check digits, the same for the same name; and a search for secrets."""

import base64
from collections.abc import Iterable, Iterator

from fleet.mesh.install_codes import link_key_of, show_install_code, show_key
from tests.documents import key


def octets(name: str = "one", size: int = 16) -> bytes:
    """A code without its check."""
    return key(f"install code {name}")[:size]


def printed(name: str = "one", size: int = 16) -> str:
    """The same as it stands on a label."""
    return show_install_code(octets(name, size))


def key_printed(name: str = "one") -> str:
    """The link key that comes of it, in groups of four."""
    return show_key(link_key_of(octets(name)))


def found_in(text: bytes | str, *names: str) -> list[bytes]:
    """The forms in which codes of these names, or the keys that come of them, stand in a text."""
    secrets = [secret for name in names or ("one",) for secret in (octets(name), link_key_of(octets(name)))]
    return secrets_in(text.encode() if isinstance(text, str) else text, secrets)


def secrets_in(text: bytes, secrets: Iterable[bytes]) -> list[bytes]:
    """The forms in which any of the secrets stands in a text."""
    return [form for secret in secrets for form in _in_every_form(secret) if form in text]


def _in_every_form(secret: bytes) -> Iterator[bytes]:
    """Raw either way round, in digits whole or parted, in base64."""
    yield secret
    yield secret[::-1]
    for written in (secret.hex(), secret.hex(" ", 2), secret.hex(":"), secret.hex("-")):
        yield from (written.encode(), written.upper().encode())
    for start in range(3):  # base64 depends on where it starts; what comes after does not
        yield base64.b64encode(secret[start : start + 12])
        yield base64.urlsafe_b64encode(secret[start : start + 12])
