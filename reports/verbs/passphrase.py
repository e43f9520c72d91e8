"""Passphrases that are drawn, shown once and kept nowhere."""

from typing import Final

from reports.paper.opening import CROCKFORD

DRAWN_OCTETS: Final = 25
GROUPS, GROUP = 5, 5


def drawn_from(octets: bytes) -> str:
    """Five groups of five characters of Crockford's alphabet, 125 bits, from 25 random octets."""
    drawn = "".join(CROCKFORD[octet % len(CROCKFORD)] for octet in octets[: GROUPS * GROUP])
    return "-".join(drawn[at : at + GROUP] for at in range(0, len(drawn), GROUP))


def is_drawn(passphrase: str) -> bool:
    """Whether it has the form of a drawn one; a chosen one would be weaker."""
    characters = passphrase.replace("-", "")
    return len(characters) == GROUPS * GROUP and set(characters) <= set(CROCKFORD)
