"""One table of all papers for looking at: every kind, from sample facts that are full, bare, large and nasty."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache, partial
from typing import Any

from reports.drawing import (
    digest,
    drill,
    erasure,
    evidence,
    handover,
    job,
    paper_copy,
    recovery,
    sealed_page,
    slip,
)
from reports.drawing.language import LANGUAGES
from reports.drawing.sheet import Paper
from reports.facts.paper_copy import PaperCopyFacts
from reports.facts.sealed_page import Held, KeyHistory, SealedPageFacts
from reports.facts.slip import SlipFacts
from reports.paper import making
from tests.reports import samples
from tests.reports import samples_of_book as book
from tests.reports import samples_of_work as work

LONG = "Corlan Bight Guesthouse and Reading Rooms, " * 5
MIXED = 'flat "٤٢" <b>&amp;</b> ليلى and 森下 \U0001f600 noch mal عبد الرحمن 12-B, '
NAMES = {"200 letters": LONG[:200], "mixed": (MIXED * 4)[:200], "unbroken": "W" * 200}
TURNS = ("en", "ar", "de", "ja")
Facts = Callable[[], Any]


def _key(name: str) -> bytes:
    return hashlib.sha256(f"contact sheet {name}".encode()).digest()[:16]


def sealed(count: int = 31, name: str = "") -> SealedPageFacts:
    """Keys of that many devices, every fifth with an install code, one of them damaged."""
    devices = tuple(
        Held(
            name=name or f"Ceiling light {number}",
            room=name or f"Room {number // 9 + 1}",
            address=f"02BEEF00{number:08X}",
            link_key=_key(f"link {number}") if number % 5 else None,
            install_code=_key(f"code {number}") if number % 5 == 0 else None,
            damaged=number == 7,
        )
        for number in range(count)
    )
    return SealedPageFacts(
        firm=replace(samples.FIRM, name=name or samples.FIRM.name),
        home=samples.KELP,
        mesh_code=samples.KELP_MESH.code,
        made_at=samples.ISSUED,
        taken_at=samples.ISSUED,
        mark="9F3C71A4",
        key_sequence=4,
        history=KeyHistory(date(2027, 2, 14), date(2027, 2, 13)),
        network_key=_key("network"),
        link_key_seed=_key("seed"),
        devices=devices,
        without=3,
    )


def printed(octets: int = 2_400, name: str = "") -> PaperCopyFacts:
    """A paper copy of so many octets."""
    whole = b"".join(hashlib.sha256(b"%d" % at).digest() for at in range(octets // 32))
    return PaperCopyFacts(
        firm=replace(samples.FIRM, name=name or samples.FIRM.name),
        home=samples.KELP,
        mesh_code=samples.KELP_MESH.code,
        made_at=samples.ISSUED,
        taken_at=samples.ISSUED,
        devices=31,
        digest=hashlib.sha256(whole).hexdigest(),
        codes=making.codes_of(whole),
        lines=making.lines_of(whole),
    )


def signed(name: str = "Ingunn Sæther") -> SlipFacts:
    """The slip of a signature that was drawn."""
    return SlipFacts(
        number="H-000012-0",
        revision=3,
        digest="f68fd7f2931d034d" * 4,
        sha256="212ebdd37a797f68" * 4,
        name=name,
        role="client",
        signed_at=samples.ISSUED,
        zone="Europe/Oslo",
        through="5f0c21aa",
        link_for="Ingunn Sæther",
        open_defects=name,
        not_tested=name,
        strokes=((0, 0, 400, 300, 900, 120), (50, 60)),
        verify_at="https://book.example/verify/",
    )


DRAWN: dict[str, Callable[[Any, Paper], bytes]] = {
    "hand-over": handover.draw,
    "recovery": recovery.draw,
    "job": job.draw,
    "drill": drill.draw,
    "erasure": erasure.draw,
    "digest": digest.draw,
    "evidence": evidence.draw,
    "paper copy": paper_copy.draw,
    "sealed page": lambda facts, paper: sealed_page.draw(facts, paper, "5EA1" * 16),
    "signature slip": slip.draw,
}
FACTS: dict[str, dict[str, Facts]] = {
    "hand-over": {
        "full": samples.kelp_handover,
        "bare": samples.bare_handover,
        "0": lambda: samples.handover_of(0),
        "60": lambda: samples.handover_of(60),
        "250": lambda: samples.handover_of(250),
    },
    "recovery": {
        "full": samples.kelp_recovery,
        "bare": samples.bare_recovery,
        "0": lambda: samples.recovery_of(0),
        "60": lambda: samples.recovery_of(60),
        "250": lambda: samples.recovery_of(250),
    },
    "job": {"full": work.kelp_job, "bare": work.bare_job, "250": lambda: work.job_with(250)},
    "drill": {"full": work.kelp_drill, "bare": work.bare_drill, "250": lambda: work.drill_with(250)},
    "erasure": {
        "full": lambda: work.erasure_with(130),
        "bare": work.bare_erasure,
        "250": lambda: work.erasure_with(250),
    },
    "digest": {"full": book.digest, "bare": book.empty_digest},
    "evidence": {"full": book.evidence, "bare": book.bare_evidence},
    "paper copy": {"full": printed, "large": lambda: printed(12_000)},
    "sealed page": {
        "full": sealed,
        "0": lambda: sealed(0),
        "60": lambda: sealed(60),
        "250": lambda: sealed(250),
    },
    "signature slip": {"full": signed},
}
NAMED: dict[str, Callable[[str], Any]] = {
    "hand-over": samples.nasty_handover,
    "recovery": samples.nasty_recovery,
    "job": work.nasty_job,
    "drill": work.nasty_drill,
    "erasure": work.nasty_erasure,
    "digest": book.crowded_digest,
    "evidence": book.crowded_evidence,
    "paper copy": lambda name: printed(name=name),
    "sealed page": lambda name: sealed(name=name),
    "signature slip": signed,
}
for _kind, _make in NAMED.items():
    FACTS[_kind] |= {label: partial(_make, name) for label, name in NAMES.items()}


def spoken(facts: Any, language: str) -> Any:
    """The same facts for a reader of another language."""
    if hasattr(facts, "language"):
        return replace(facts, language=language)
    return replace(facts, home=replace(facts.home, language=language))


@cache
def paper_of(kind: str, sample: str, language: str, paper: Paper) -> bytes:
    """The octets of one of them."""
    return DRAWN[kind](spoken(FACTS[kind][sample](), language), paper)


def everything() -> list[tuple[str, str, str, Paper]]:
    """Every kind in full, in every language, on the two papers in turn; and every other sample in turn of both.

    So each kind is seen in all that may break it without all of it being drawn in all languages.
    """
    full = [(kind, "full", language) for kind in FACTS for language in LANGUAGES]
    others = [(kind, sample) for kind, found in FACTS.items() for sample in found if sample != "full"]
    spread = [(kind, sample, TURNS[at % len(TURNS)]) for at, (kind, sample) in enumerate(others)]
    papers = tuple(Paper)
    return [(*case, papers[at // 3 % 2]) for at, case in enumerate([*full, *spread])]
