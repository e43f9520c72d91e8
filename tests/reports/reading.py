"""Issued sheets read back with libraries that had no part in drawing them."""

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from io import BytesIO
from typing import Any

import pdfplumber
import pypdf

from reports.drawing import handover, recovery
from reports.drawing.saying import said
from reports.drawing.sheet import Paper
from reports.facts.fixed import Fixed
from tests.reports import samples

HANDOVERS: dict[str, Callable[[], Any]] = {
    "model home": samples.kelp_handover,
    "nothing known": samples.bare_handover,
    "60 devices": lambda: samples.handover_of(60),
    "250 devices": lambda: samples.handover_of(250),
    **{
        f"nasty {at}": lambda name=name: samples.nasty_handover(name)
        for at, name in enumerate(samples.NASTY_NAMES)
    },
}
RECOVERIES: dict[str, Callable[[], Any]] = {
    "model home": samples.kelp_recovery,
    "nothing known": samples.bare_recovery,
    "60 devices": lambda: samples.recovery_of(60),
    "250 devices": lambda: samples.recovery_of(250),
    **{
        f"nasty {at}": lambda name=name: samples.nasty_recovery(name)
        for at, name in enumerate(samples.NASTY_NAMES)
    },
}
SHEETS = [(kind, name, paper) for kind, homes in (("hand-over", HANDOVERS), ("recovery", RECOVERIES))
          for name in homes for paper in Paper]  # fmt: skip


@cache
def drawn(kind: str, name: str, paper: Paper) -> bytes:
    """The octets of one of the sheets above."""
    if kind == "hand-over":
        return handover.draw(HANDOVERS[name](), paper)
    return recovery.draw(RECOVERIES[name](), paper)


def pages(octets: bytes) -> list[pypdf.PageObject]:
    """The pages as one library sees them."""
    return list(pypdf.PdfReader(BytesIO(octets)).pages)


def plumbed(octets: bytes) -> Any:
    """The file as another library sees it."""
    return pdfplumber.open(BytesIO(octets))


@cache
def places(kind: str, name: str, paper: Paper) -> Any:
    """Every page of one of the sheets above with its letters, rules and boxes; read once, as that takes its time."""
    return plumbed(drawn(kind, name, paper)).pages


@cache
def page_texts(kind: str, name: str, paper: Paper) -> list[str]:
    """The text of each page of one of the sheets above."""
    return [page.extract_text() for page in pages(drawn(kind, name, paper))]


def text_of(octets: bytes) -> str:
    """All text in the order in which it was drawn, without any white space."""
    return squeezed("".join(page.extract_text() for page in pages(octets)))


def squeezed(text: str) -> str:
    """The text without white space."""
    return "".join(text.split())


def texts_in(facts: Any, left_out: frozenset[str] = frozenset()) -> Iterator[str]:
    """Every text among the facts, the named fields left out."""
    if isinstance(facts, str | Fixed):
        yield said(facts)
    elif isinstance(facts, tuple):
        for part in facts:
            yield from texts_in(part, left_out)
    elif is_dataclass(facts):
        for each in fields(facts):
            if each.name not in left_out:
                yield from texts_in(getattr(facts, each.name), left_out)
