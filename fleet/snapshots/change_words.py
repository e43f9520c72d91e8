"""A difference between two copies as people say it."""

from collections.abc import Iterator

from fleet.snapshots.comparing import Difference, MeshFact, OlderCopies

FACTS = {
    MeshFact.HEAD_ADDRESS: "head address",
    MeshFact.EXTENDED_PAN_ID: "extended PAN ID",
    MeshFact.NETWORK_KEY: "network key",
    MeshFact.KEY_SEQUENCE: "key sequence",
    MeshFact.CHANNEL: "channel",
    MeshFact.PAN_ID: "PAN ID",
    MeshFact.UPDATE_ID: "update id",
    MeshFact.COUNTER: "outgoing counter",
    MeshFact.LINK_KEY_SEED: "link-key seed",
}
VERDICTS = {
    OlderCopies.UNTOUCHED: "as good as before",
    OlderCopies.NEED_RETUNING: "to be tuned first",
    OlderCopies.SUSPECT: "in doubt",
    OlderCopies.LOCKED_OUT: "locked out",
    OlderCopies.OF_ANOTHER_MESH: "of another mesh",
}


def summary(found: Difference) -> str:
    """One sentence: who joined, left and changed, what changed about the mesh, what that makes of older copies.

    "3 devices joined, 1 left, the network key changed: older copies are locked out."
    """
    devices, mesh = list(_devices(found)), _mesh(found)
    if not devices and not mesh:
        same = "one device" if found.in_common == 1 else f"{found.in_common} devices"
        return f"Nothing changed: the same {same}, the same mesh." if found.in_common else "Nothing changed."
    if not devices:
        devices, mesh = [], f"{mesh}; no device joined, left or changed"
    sentence = ", ".join([*devices, *([mesh] if mesh else [])])
    return f"{sentence[0].upper()}{sentence[1:]}."


def _devices(found: Difference) -> Iterator[str]:
    joined, left, changed = len(found.appeared), len(found.vanished), len(found.changed)
    named = False
    for count, did in ((joined, "joined"), (left, "left"), (changed, "changed")):
        if count:
            yield f"{count} {did}" if named else f"{_counted(count)} {did}"
            named = True
    if changed and not joined and not left:
        yield "none joined or left"


def _mesh(found: Difference) -> str:
    grave = [change.fact for change in found.mesh if change.older_copies is found.older_copies]
    if MeshFact.NETWORK_KEY in grave:
        grave = [MeshFact.NETWORK_KEY]  # its sequence follows from it
    if not grave:
        return ""
    did = "fell" if grave == [MeshFact.COUNTER] else "changed"
    facts = f"the {' and the '.join(FACTS[fact] for fact in grave)} {did}"
    if found.older_copies is OlderCopies.UNTOUCHED:
        return facts
    if found.older_copies is OlderCopies.SUSPECT:
        return f"{facts}: find out why before you use either copy"
    return f"{facts}: older copies are {VERDICTS[found.older_copies]}"


def _counted(count: int) -> str:
    return "one device" if count == 1 else f"{count} devices"
