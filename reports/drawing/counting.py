"""How many pages a sheet has, from its own octets."""

import re
import zlib

_PAGE = re.compile(rb"/Type\s*/Page(?![A-Za-z])")
_PACKED = re.compile(rb"/Type/ObjStm[^>]*/Length (\d+)>>\s*stream\r?\n")


def pages_in(body: bytes) -> int:
    """Page objects of a PDF as our drawing writes it: in clear, or packed in object streams (ISO 32000-2, 7.5.7)."""
    packed = [body[each.end() : each.end() + int(each[1])] for each in _PACKED.finditer(body)]
    return sum(len(_PAGE.findall(part)) for part in (body, *map(zlib.decompress, packed)))
