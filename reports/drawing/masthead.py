"""What all sheets share besides their words: the masthead, the running lines, what the file says of itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from reports.drawing import language, words
from reports.drawing.blocks import HALF, MM, boxed, points
from reports.drawing.items import firm_name
from reports.drawing.language import _, isolated
from reports.drawing.looks import Kit
from reports.drawing.pen import About
from reports.drawing.sheet import Running
from reports.drawing.strips import Strip, beside
from reports.drawing.symbols import qr_strip
from reports.drawing.type import BLACK, one_line
from reports.facts.fingerprint import digest, short_form
from reports.facts.head import Firm, Home, Issue
from reports.facts.scanning import scanned_text

QR_SIZE = 24 * MM
QUIET = 2.8 * MM
WHITE = (1.0, 1.0, 1.0)


class Facts(Protocol):
    """The facts of any sheet: whatever else it says, it has a head."""

    @property
    def issue(self) -> Issue: ...
    @property
    def firm(self) -> Firm: ...
    @property
    def home(self) -> Home: ...


@dataclass(frozen=True, slots=True)
class Stamp:
    """What tells one sheet from all others: its title, the code of its home or mesh, its facts and their digest."""

    title: str
    code: str
    facts: Facts
    digest: str

    def symbol_text(self) -> str:
        """What the code symbol holds: where to ask about this sheet, or its code, number and digest."""
        issue = self.facts.issue
        short = short_form(self.digest).replace(" ", "")
        return scanned_text(self.code, issue.number, short, issue.verify_at)

    def running(self, kit: Kit) -> Running:
        """The lines at the head and foot of every page."""
        return Running(
            head_left=f"{isolated(firm_name(self.facts.firm))} · {self.title}",
            head_right=self.code,
            foot_left=f"{isolated(self.facts.issue.number)} · {revision_words(self.facts.issue)}",
            foot_middle=_("digest {digits}").format(digits=short_form(self.digest)),
            family=kit.body.family,
        )

    def about(self) -> About:
        """What the file says of itself."""
        return About(
            title=f"{self.title} {self.facts.issue.number} · {self.code}",
            author=firm_name(self.facts.firm),
            subject=_("{title} of {code}, {revision}").format(
                title=self.title, code=self.code, revision=revision_words(self.facts.issue)
            ),
            language=language.tag(),
            issued_at=self.facts.issue.issued_at,
            digest=self.digest,
        )


def stamp(title: str, code: str, facts: Facts) -> Stamp:
    """The stamp of a sheet with these facts."""
    return Stamp(title, code, facts, digest(facts))


def revision_words(issue: Issue) -> str:
    """revision 3, replaces revision 2"""
    if issue.replaces:
        told = _("revision {number}, replaces revision {before}")
        return told.format(number=issue.revision, before=issue.replaces)
    return _("revision {number}").format(number=issue.revision)


def issued_words(issue: Issue, zone: str) -> str:
    """M-000002-5, revision 1, issued 1 March 2027, 08:00 (Europe/Oslo, UTC+01:00)"""
    issued = issue.issued_at
    return _("{number}, {revision}, issued {day}, {clock} ({zone}, {offset})").format(
        number=issue.number,
        revision=revision_words(issue),
        day=words.day(issued),
        clock=words.clock(issued),
        zone=zone,
        offset=words.offset(issued),
    )


def masthead(lines: Sequence[Strip], stamped: Stamp, width: float) -> list[Strip]:
    """The title's lines on the left, the code symbol on the right."""
    return beside([(0.0, lines), (width - QR_SIZE + QUIET, [qr_strip(stamped.symbol_text(), QR_SIZE)])])


def caution_box(kit: Kit, label: str, texts: tuple[str, ...], width: float, padding: float = HALF) -> Strip:
    """Cautions in a heavy frame under a black tab."""
    tab = one_line(label, kit.body.strong().in_ink(WHITE))
    inside = points(texts, kit.body, width - 2 * padding)
    return boxed(inside, width, thickness=1.2, ink=BLACK, padding=padding, label=tab)
