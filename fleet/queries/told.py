"""What rounds have written down by codes, read back as sentences that can be said in any language."""

from collections.abc import Mapping
from typing import Any

from fleet.models import Mesh, ReadinessChange
from fleet.planning.phrases import PHRASES
from fleet.planning.phrases.ready import Act, Gate
from fleet.planning.sentences import Sentence, Series, Told, from_plain


def why_it_changed(change: ReadinessChange) -> Told | None:
    """The reason of a change of readiness; of one from before the codes, what its gate says. None where none failed."""
    if change.told:
        return read_back(change.told)
    return Gate[change.gate.upper()].of() if change.gate else None


def what_helps(mesh: Mesh) -> Told | None:
    """What helps first, as `Incidents.mark` says it in English. None where nothing was written down by codes."""
    if mesh.stranded_since:
        return Act.AFTER_STRANDING.of()
    if mesh.silence:
        return Act.AFTER_SILENCE.of()
    return read_back(mesh.readiness_told.get("act"))


def read_back(plain: Mapping[str, Any] | None) -> Told | None:
    """One sentence or several from a column; None where nothing is there, or a phrase that is no longer said."""
    if not plain:
        return None
    try:
        told = from_plain(plain, PHRASES)
    except KeyError:
        return None
    return told if isinstance(told, Sentence | Series) else None
