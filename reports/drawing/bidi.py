"""Which stretches of a line run right to left, and in what order they stand on paper (Unicode Annex 9)."""

import re

from bidi import algorithm  # type: ignore[import-untyped, unused-ignore]

STRONG_RTL = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff]")
JOINERS = "\u200c\u200d"
ISOLATE, END = "\U0001fffe", "\U0001ffff"  # noncharacters: nothing that people type holds them
SOFT = "\u00ad"  # where a word may be broken, with a hyphen
UNSEEN = (ISOLATE, END, SOFT)
MARKS = str.maketrans(dict.fromkeys(UNSEEN))
OBJECT = "\ufffc"
LETTER = re.compile(r"[^\W\d_]")


def has_rtl(text: str) -> bool:
    """Whether the line needs any of this."""
    return not text.isascii() and STRONG_RTL.search(text) is not None


def isolate(text: str) -> str:
    """The text as a stretch that runs in its own direction and leaves its neighbours theirs."""
    return f"{ISOLATE}{text}{END}"


def bare(text: str) -> str:
    """The text without marks that are not printed: of isolated stretches, of places to hyphenate."""
    return text if text.isascii() else text.translate(MARKS)


def starts_rtl(text: str) -> bool:
    """Whether the first letter of the paragraph runs right to left (rules P2 and P3)."""
    letter = LETTER.search(text)
    return letter is not None and STRONG_RTL.match(letter.group()) is not None


def reads_rtl(text: str) -> bool:
    """Whether a paragraph runs right to left: by its own first letter, what is isolated in it left aside (P2); by the
    first of all letters where none is its own, as of a list of names."""
    own = _shallow(text) if ISOLATE in text else text
    return starts_rtl(own if LETTER.search(own) else text)


def levels(text: str, rtl: bool) -> list[int]:
    """The embedding level of each character of a paragraph; odd levels run right to left. The only control
    characters are the marks of isolated stretches, each of which takes its direction from its first letter."""
    found = [int(rtl)] * len(text)
    _level(text, 0, len(text), int(rtl), found)
    return found


def _level(text: str, start: int, end: int, base: int, found: list[int]) -> None:
    """Levels of text[start:end], what is isolated in it standing as one neutral character (rules X5c and BD9)."""
    inner: list[tuple[int, int, int]] = []
    outer: list[tuple[int, str]] = []
    at = start
    while at < end:
        if text[at] == ISOLATE:
            close = _close(text, at, end)
            inner.append((at, close, len(outer)))
            outer.append((at, OBJECT))
            at = close
        elif text[at] not in (*JOINERS, END):
            outer.append((at, text[at]))
        at += 1
    raised = base - base % 2
    resolved = [level + raised for level in _resolve("".join(char for _, char in outer), base % 2 == 1)]
    _spread(found, start, end, base, {at: level for (at, _), level in zip(outer, resolved, strict=True)})
    for opened, closed, place in inner:
        level = resolved[place]
        rtl = _turns(text[opened + 1 : closed], base)
        deeper = level + 1 if (level % 2 == 1) != rtl else level + 2
        if closed < end:
            found[closed] = level
        _level(text, opened + 1, closed, deeper, found)


def _spread(found: list[int], start: int, end: int, base: int, known: dict[int, int]) -> None:
    """Known levels put in their places; a character between them takes that of the one before it."""
    level = base
    for at in range(start, end):
        found[at] = level = known.get(at, level)


def _close(text: str, at: int, end: int) -> int:
    """Where the stretch that opens at `at` closes; the end of the paragraph where it never does (BD9)."""
    depth = 0
    for place in range(at, end):
        depth += (text[place] == ISOLATE) - (text[place] == END)
        if depth == 0:
            return place
    return end


def _shallow(text: str) -> str:
    """The text without what is isolated in it, which has no say in its direction (P2)."""
    kept, depth = [], 0
    for char in text:
        depth += (char == ISOLATE) - (char == END)
        if depth <= 0:
            kept.append(char)
    return "".join(kept)


def _turns(text: str, base: int) -> bool:
    """Whether an isolated stretch runs right to left: by its own first letter. A list of isolated stretches, which has
    no letter of its own, runs as what it stands in: its parts keep their order there."""
    own = _shallow(text)
    if ISOLATE in text and not LETTER.search(own):
        return base % 2 == 1
    return starts_rtl(own)


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
    return _merged([(start, end, level % 2 == 1) for start, end, level in runs])


def _merged(runs: list[tuple[int, int, bool]]) -> list[tuple[int, int, bool]]:
    """Neighbours from left to right as one, so that what isolates them does not part what is drawn."""
    made: list[tuple[int, int, bool]] = []
    for start, end, rtl in runs:
        before = made[-1] if made else None
        if before is not None and not rtl and not before[2] and start == before[1]:
            made[-1] = (before[0], end, rtl)
        else:
            made.append((start, end, rtl))
    return made


def _turn(runs: list[tuple[int, int, int]], level: int) -> None:
    at = 0
    while at < len(runs):
        end = at
        while end < len(runs) and runs[end][2] >= level:
            end += 1
        runs[at:end] = reversed(runs[at:end])
        at = max(end, at + 1)
