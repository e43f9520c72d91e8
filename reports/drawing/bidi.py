"""Which stretches of a line run right to left, and in what order they stand on paper (Unicode Annex 9)."""

import re

from bidi import algorithm  # type: ignore[import-untyped, unused-ignore]

STRONG_RTL = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff]")
JOINERS = "\u200c\u200d"
LETTER = re.compile(r"[^\W\d_]")


def has_rtl(text: str) -> bool:
    """Whether the line needs any of this."""
    return not text.isascii() and STRONG_RTL.search(text) is not None


def starts_rtl(text: str) -> bool:
    """Whether the first letter of the paragraph runs right to left (rules P2 and P3)."""
    letter = LETTER.search(text)
    return letter is not None and STRONG_RTL.match(letter.group()) is not None


def levels(text: str, rtl: bool) -> list[int]:
    """The embedding level of each character of a line; odd levels run right to left. No control characters."""
    seen = [at for at, char in enumerate(text) if char not in JOINERS]
    found = dict(zip(seen, _resolve("".join(text[at] for at in seen), rtl), strict=True))
    level = int(rtl)
    return [level := found.get(at, level) for at in range(len(text))]


def _resolve(text: str, rtl: bool) -> list[int]:
    storage = algorithm.get_empty_storage()
    storage["base_level"] = int(rtl)
    storage["base_dir"] = "R" if rtl else "L"
    algorithm.get_embedding_levels(text, storage)
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    algorithm.resolve_neutral_types(storage, False)
    algorithm.resolve_implicit_levels(storage, False)
    return [int(char["level"]) for char in storage["chars"]]


def visual_runs(found: list[int]) -> list[tuple[int, int, bool]]:
    """Runs (start, end, right to left) in the order in which they stand on paper (rule L2)."""
    runs: list[tuple[int, int, int]] = []
    for at, level in enumerate(found):
        if runs and runs[-1][2] == level:
            runs[-1] = (runs[-1][0], at + 1, level)
        else:
            runs.append((at, at + 1, level))
    for level in range(max(found, default=0), 0, -1):
        _turn(runs, level)
    return [(start, end, level % 2 == 1) for start, end, level in runs]


def _turn(runs: list[tuple[int, int, int]], level: int) -> None:
    at = 0
    while at < len(runs):
        end = at
        while end < len(runs) and runs[end][2] >= level:
            end += 1
        runs[at:end] = reversed(runs[at:end])
        at = max(end, at + 1)
