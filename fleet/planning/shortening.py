"""Making a sentence fit a column of the book."""

import textwrap


def shortened(text: str, most: int) -> str:
    """The text in at most so many characters: cut after a whole word or code, with an ellipsis where any is lost."""
    return textwrap.shorten(text, most, placeholder=" \N{HORIZONTAL ELLIPSIS}", break_on_hyphens=False)
