"""How many pages a sheet has, from its own octets."""

import re

_PAGE = re.compile(rb"/Type\s*/Page(?![A-Za-z])")


def pages_in(body: bytes) -> int:
    """Page objects of a PDF as our drawing writes it (its page objects stand in clear, ISO 32000-2, 7.7.3.3)."""
    return len(_PAGE.findall(body))
