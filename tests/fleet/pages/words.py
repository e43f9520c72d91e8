"""A page as a reader takes it in: its words in order, without tags."""

import re
from html import unescape

_TAG = re.compile(r"<[^>]+>")


def words_of(html: str) -> str:
    """All text with single spaces; what stood in two cells stays apart."""
    return " ".join(unescape(_TAG.sub(" ", html)).split())
