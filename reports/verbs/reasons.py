"""The reason why something secret leaves the book on paper or in a file, as the journal may have it."""

from fleet.verbs.install_codes import CodeRefused, in_words

# Ten characters of a drawn passphrase in a row are no accident.
_TELLING = 10
_READ_AS = str.maketrans("OIL", "011")


class ReasonRefused(Exception):
    """The reason may not be written down; the sentence names the field and says why, without what stood in it."""


def reason_beside(passphrase: str, reason: str) -> str:
    """The reason, cut to what the journal holds. Raises ReasonRefused where it is empty, or holds a key, a code or a
    part of the passphrase that was just shown."""
    try:
        reason = in_words(reason)
    except CodeRefused as error:
        raise ReasonRefused(f"reason: {error}") from None
    if _tells(_bare(passphrase), _bare(reason)):
        raise ReasonRefused("reason: the passphrase stands in it; the journal must never have that.")
    return reason[:200]


def _tells(passphrase: str, reason: str) -> bool:
    starts = range(max(len(passphrase) - _TELLING, 0) + 1)
    return bool(passphrase) and any(passphrase[at : at + _TELLING] in reason for at in starts)


def _bare(text: str) -> str:
    """Its letters and digits, read as Crockford's alphabet reads them."""
    return "".join(letter for letter in text.upper() if letter.isalnum()).translate(_READ_AS)
