"""Which addresses the book may call: those of the open net, and networks that the firm names itself.

Refused are all special-purpose addresses (IANA registries of RFC 6890: private, loopback, link-local, shared,
documentation, reserved, unique-local), multicast, and addresses that carry another one inside, as the inner one
would be reached: IPv4-mapped (RFC 4291), 6to4 (RFC 3056), Teredo (RFC 4380), NAT64 (RFC 6052, RFC 8215).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network
from urllib.parse import urlsplit

PORTS = {"http": 80, "https": 443}
LONGEST = 500

GLOBAL_UNICAST = IPv6Network("2000::/3")
CARRIERS_AND_SPECIAL = (
    IPv6Network("2001::/23"),  # Teredo, benchmarking, ORCHID
    IPv6Network("2001:db8::/32"),
    IPv6Network("2002::/16"),
    IPv6Network("3fff::/20"),
)
SPECIAL_OF_OLD = (
    IPv4Network("192.0.0.0/24"),
    IPv4Network("192.88.99.0/24"),
)  # protocol assignments, 6to4 relays

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network


class ReachError(ValueError):
    """An address that must not be called; the sentence says why and repeats no more of it than the host."""


@dataclass(frozen=True, slots=True)
class Target:
    """An address taken apart: `path` includes the query."""

    scheme: str
    host: str
    port: int
    path: str


def target(text: str) -> Target:
    """Take an address apart. Raises ReachError for anything but plain http(s) with a host."""
    if len(text) > LONGEST or any(letter.isspace() or not letter.isprintable() for letter in text):
        raise ReachError(f"The address is longer than {LONGEST} letters, or has blanks in it.")
    try:
        parts = urlsplit(text)
        port = parts.port
        host = (parts.hostname or "").encode("idna").decode("ascii")
    except ValueError:
        raise ReachError(
            "The address cannot be read; write one such as https://example.org/events."
        ) from None
    if parts.scheme not in PORTS or not host:
        raise ReachError("The address must begin with https:// or http:// and name a host.")
    if parts.username is not None or parts.password is not None:
        raise ReachError("The address holds a user name or password; leave it out, each event is signed.")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    if not path.isascii():
        raise ReachError("After the host, letters outside ASCII must be written with % escapes.")
    return Target(parts.scheme, host, port or PORTS[parts.scheme], path)


def networks(words: Sequence[str]) -> tuple[Network, ...]:
    """Networks that the firm names, such as 10.0.0.0/8 or fd00::/8. Raises ReachError."""
    found = []
    for word in words:
        try:
            found.append(ip_network(word))
        except ValueError:
            raise ReachError(
                f"{word!r} is no network; write one such as 10.0.0.0/8 or fd12:3456::/32."
            ) from None
    return tuple(found)


def may_reach(address: str, allowed: Sequence[Network]) -> bool:
    """True of an open address, and of one in a network that the firm named."""
    try:
        found = ip_address(address)
    except ValueError:
        return False
    if any(found in network for network in allowed if network.version == found.version):
        return True
    return _is_open(found)


def _is_open(address: Address) -> bool:
    if not address.is_global or address.is_multicast or address.is_reserved:
        return False
    if isinstance(address, IPv4Address):
        return not any(address in network for network in SPECIAL_OF_OLD)
    return address in GLOBAL_UNICAST and not any(address in network for network in CARRIERS_AND_SPECIAL)
