"""The same document with other names: every member is called by a drawn word, addresses that name nodes stay."""

import re
from random import Random
from typing import Any

# What names a node or an item of a typed array is a value, not a name.
_VALUE = re.compile(r"(0x)?([0-9a-f]{2}[:.-]?){7}[0-9a-f]{2}|0x[0-9a-f]{1,4}|[0-9]+", re.IGNORECASE)
_SYLLABLES = [consonant + vowel for consonant in "bdfgjklmnprtvwz" for vowel in "aou"]


def renamed(document: Any, seed: int) -> Any:
    """A copy in which each name has become a word without meaning, the same word wherever it stood."""
    chance, words = Random(seed), dict[str, str]()

    def word(name: str) -> str:
        if name not in words:
            words[name] = "".join(chance.choice(_SYLLABLES) for _ in range(4)) + str(len(words))
        return words[name]

    def copied(part: Any) -> Any:
        if isinstance(part, dict):
            return {
                name if _VALUE.fullmatch(name) else word(name): copied(value) for name, value in part.items()
            }
        return [copied(item) for item in part] if isinstance(part, list) else part

    return copied(document)
