"""Reasons that go into the journal: words, and nothing of the secret that leaves the book at that moment."""

import pytest

from reports.verbs.passphrase import drawn_from
from reports.verbs.reasons import ReasonRefused, reason_beside

PASSPHRASE = drawn_from(bytes(range(25)))
KEY = "38 56 D9 11 A0 0F 1E 2D 3C 4B 5A 69 78 87 96 A5"


def test_words_go_into_the_journal():
    assert reason_beside(PASSPHRASE, " contract ends ") == "contract ends"


@pytest.mark.parametrize(
    "secret",
    [
        PASSPHRASE,
        PASSPHRASE.lower(),
        PASSPHRASE.replace("-", " "),
        PASSPHRASE.replace("0", "O").replace("1", "l"),
        PASSPHRASE[6:17],
        KEY,
        KEY.replace(" ", ", "),
        ", ".join(f"0x{octet}" for octet in KEY.split()),
    ],
)
def test_a_reason_that_holds_a_secret_is_refused_and_not_repeated(secret):
    with pytest.raises(ReasonRefused) as refused:
        reason_beside(PASSPHRASE, f"opened by {secret}")
    assert secret not in str(refused.value)


def test_no_reason_is_refused():
    with pytest.raises(ReasonRefused, match="reason: A reason is needed"):
        reason_beside(PASSPHRASE, " ")
