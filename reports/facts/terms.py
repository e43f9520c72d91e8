"""The words for what the book knows by a code, each to be said in the language of the sheet."""

from collections.abc import Mapping
from types import MappingProxyType

from reports.facts.fixed import Fixed, fixed


def _terms(**words: Fixed) -> Mapping[str, Fixed]:
    return MappingProxyType(words)


SAFETY = _terms(
    lock=fixed("lock"),
    heat=fixed("heating"),
    smoke=fixed("smoke alarm"),
    water=fixed("water"),
    gas=fixed("gas"),
    call=fixed("call for help"),
    shutter=fixed("shutter"),
)
POWER = _terms(mains=fixed("mains"), battery=fixed("battery"), harvested=fixed("harvested"))
CONTACTS = _terms(
    client=fixed("client"),
    deputy=fixed("deputy"),
    emergency=fixed("emergency contact"),
    alarm=fixed("alarm company"),
)
CONNECTIONS = _terms(serial=fixed("serial"), network=fixed("network"), built_in=fixed("built in"))
GRADES = _terms(
    landed=fixed("landed"),
    held=fixed("held"),
    sound=fixed("sound"),
    seen_live=fixed("seen live"),
    proven=fixed("proven"),
)
VERDICTS = _terms(
    clean=fixed("clean"),
    converts=fixed("converts"),
    partly=fixed("partly"),
    untested=fixed("untested"),
    no=fixed("no"),
)
RESOURCES = _terms(
    children=fixed("direct children"),
    neighbours=fixed("neighbours"),
    routes=fixed("routes"),
    source_routes=fixed("source routes"),
    link_keys=fixed("link keys"),
    bindings=fixed("bindings"),
    groups=fixed("groups"),
    green_power=fixed("green power sinks"),
    devices=fixed("devices in all"),
    observed_ceiling=fixed("observed ceiling"),
)
LIMIT_SOURCES = _terms(declared=fixed("declared"), observed=fixed("observed"))
