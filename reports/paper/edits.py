"""Where the counters of a document stand, in the few forms that the opening file can write."""

import re

from fleet.snapshots.decoding import MAX_DEPTH, MAX_VALUES
from fleet.snapshots.scanning import scan
from reports.paper.opening import PaperError, risen

_DIGITS = re.compile(rb'"?(?:0[xX])?([0-9A-Fa-f]+)"?')
_FORMS = ("d", "x", "X")

Edit = tuple[int, int, str]


def edits_between(document: bytes, written: bytes, rise: int) -> tuple[Edit, ...]:
    """The places that differ in the same document with its counters risen by `rise`.

    Empty where one of them is not written in plain decimal or hexadecimal digits: then people must write it.
    """
    edits = []
    before = scan(document, most_scalars=MAX_VALUES, most_levels=MAX_DEPTH)
    after = scan(written, most_scalars=MAX_VALUES, most_levels=MAX_DEPTH)
    for old, new in zip(before, after, strict=True):
        token, wanted = document[old.start : old.end], written[new.start : new.end]
        if token == wanted:
            continue
        edit = _edit(token, wanted, rise)
        if edit is None:
            return ()
        start, end, form = edit
        edits.append((old.start + start, old.start + end, form))
    return tuple(edits)


def _edit(token: bytes, wanted: bytes, rise: int) -> Edit | None:
    match = _DIGITS.fullmatch(token)
    if match is None:
        return None
    start, end = match.span(1)
    for form in _FORMS:
        try:
            new = risen(match[1], form, rise)
        except (PaperError, ValueError):
            continue
        if token[:start] + new + token[end:] == wanted:
            return start, end, form
    return None
