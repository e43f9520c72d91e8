"""All checks of a snapshot (C5), put together: named findings, never a single yes or no."""

from fleet.snapshots.document_checks import CHECKS
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.findings import Code, Finding, Severity, gravest_first, is_sound, worst
from fleet.snapshots.history_checks import HISTORY_CHECKS, REGISTER_CHECKS, Before, Context

__all__ = [
    "NO_CONTEXT",
    "Before",
    "Code",
    "Context",
    "Finding",
    "Severity",
    "before_of",
    "check",
    "is_sound",
    "worst",
]

NO_CONTEXT = Context()

_NOT_THIS_MESH = frozenset({Code.WRONG_HOME, Code.ADDRESSES_REVERSED})


def check(facts: SnapshotFacts, context: Context = NO_CONTEXT) -> tuple[Finding, ...]:
    """Every finding on a snapshot, gravest first. Pure; a key is never repeated.

    A snapshot of another mesh is not compared with this one's history: one finding says enough.
    """
    found = [finding for check_one in REGISTER_CHECKS for finding in check_one(facts, context)]
    of_this_mesh = _NOT_THIS_MESH.isdisjoint(finding.code for finding in found)
    for check_alone in CHECKS:
        found.extend(check_alone(facts))
    if of_this_mesh and context.before is not None:
        for check_one in HISTORY_CHECKS:
            found.extend(check_one(facts, context))
    return gravest_first(found)


def before_of(facts: SnapshotFacts, key_mark: bytes | None) -> Before:
    """What later snapshots of the mesh are held against, once this one is found sound."""
    return Before(
        taken_at=facts.taken_at,
        outgoing_counter=facts.outgoing_counter,
        key_sequence=facts.key_sequence,
        key_mark=key_mark,
        addresses=frozenset(node.extended_address for node in facts.nodes),
    )
