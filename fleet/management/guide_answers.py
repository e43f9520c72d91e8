"""What a field guide finds in documents that people name, for the terminal; never a key."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fleet.mesh.addresses import show_eui64, show_short
from fleet.snapshots.decoding import JsonValue, ReadError
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.falling import fallen, in_order
from fleet.snapshots.guides import FieldGuide, read_with

SHOWN = 5


@dataclass(slots=True)
class Answer:
    """One document. facts: None where it could not be read, and then problems say why; findings: what is odd in it."""

    path: Path
    facts: SnapshotFacts | None
    problems: list[str] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)

    @property
    def ok(self) -> bool:
        """It was read, and nothing is odd."""
        return self.facts is not None and not self.findings

    def told(self) -> dict[str, Any]:
        """In plain values."""
        return {
            "file": str(self.path),
            "ok": self.ok,
            "facts": {} if self.facts is None else shown(self.facts),
            "problems": self.problems,
            "findings": self.findings,
        }

    def lines(self) -> Iterator[str]:
        """For people."""
        yield from self.problems
        for name, value in {} if self.facts is None else shown(self.facts).items():
            yield f"{name}: {value}"
        yield from self.findings


def answer(path: Path, guide: FieldGuide, document: JsonValue) -> Answer:
    """What the guide finds in one document."""
    try:
        return Answer(path, read_with(guide, document))
    except ReadError as error:
        return Answer(path, None, [str(each) for each in error.problems])


def mark_falls(answers: Sequence[Answer]) -> None:
    """Note with each document which counters are lower than in the one of its mesh before it."""
    readable = [(each, each.facts) for each in answers if each.facts is not None]
    for first, second in in_order([facts for _, facts in readable]):
        (before, earlier), (after, later) = readable[first], readable[second]
        falls = fallen(earlier, later)
        for each in falls[:SHOWN]:
            whose = f"of {show_eui64(each.node)}" if each.node else "of the network"
            after.findings.append(
                f"counter {whose}: {each.later} after {each.earlier} in {before.path}, under the same key; right is "
                f"{each.earlier} or more. The guide reads it wrongly, or a radio started from an old number."
            )
        if len(falls) > SHOWN:
            after.findings.append(f"{len(falls) - SHOWN} more counters fall.")


def shown(facts: SnapshotFacts) -> dict[str, Any]:
    """The facts that tell whether a document was read rightly."""
    return {
        "head address": facts.head_address,
        "extended PAN ID": facts.extended_pan_id,
        "PAN ID": show_short(facts.pan_id),
        "channel": facts.channel,
        "network key": "(hidden)",
        "key sequence": facts.key_sequence,
        "outgoing counter": facts.outgoing_counter,
        "taken at": facts.taken_at.isoformat() if facts.taken_at else None,
        "nodes": len(facts.nodes),
        "link keys": sum(node.link_key is not None for node in facts.nodes),
    }
