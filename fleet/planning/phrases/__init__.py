"""All phrases of the decisions, by their codes."""

from collections.abc import Mapping
from types import MappingProxyType

from fleet.planning.phrases.fit import Fit, Thing
from fleet.planning.phrases.ready import Act, Against, Age, Basic, Gate, Ready
from fleet.planning.phrases.swap import Hour, Swap, SwapAct
from fleet.planning.sentences import Phrase

FAMILIES: tuple[type[Phrase], ...] = (Fit, Thing, Age, Basic, Against, Ready, Gate, Act, Swap, SwapAct, Hour)
PHRASES: Mapping[str, Phrase] = MappingProxyType(
    {phrase.code: phrase for family in FAMILIES for phrase in family}
)
