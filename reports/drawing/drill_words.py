"""What a drill proves and what it does not, by its kind and its result (trade rule C16)."""

from collections.abc import Mapping

from reports.drawing.language import later
from reports.facts.drill import Blank, Kind, SameBuild

KINDS: Mapping[Kind, str] = {
    Kind.PAPER: later("Paper walk-through"),
    Kind.BENCH: later("Bench write to a blank spare"),
    Kind.LIVE: later("Live swap"),
}
PROVES: Mapping[Kind, tuple[str, ...]] = {
    Kind.PAPER: (
        later("The people found the sheet, and could say each step in its order."),
        later("Who opens, where the radio sits and whom to call were read aloud by somebody."),
    ),
    Kind.BENCH: (
        later("This copy opens, and can be written to this radio with this build."),
        later("The work at the bench takes about the minutes that are noted here."),
    ),
    Kind.LIVE: (
        later("The devices of this mesh answered another radio under the old one's identity."),
        later("The way, the work and the waking take about the minutes that are noted here."),
    ),
}
PROVES_NOT: Mapping[Kind, tuple[str, ...]] = {
    Kind.PAPER: (
        later("That the copy opens, or that the spare takes it: neither was touched."),
        later("That devices answer. Only a live swap proves that."),
    ),
    Kind.BENCH: (
        later("That devices answer. Only a live swap proves that: nothing was on air here."),
        later("That it works with another copy, another build or another radio."),
    ),
    Kind.LIVE: (
        later("That it works with another copy, another build or another radio."),
        later("That devices which were silent on that day would have answered."),
    ),
}
FAILED = (
    later("It failed. What stopped it must be found before this radio is counted as a spare."),
    later("A drill that failed is repeated, whatever its age."),
)
BUILDS: Mapping[SameBuild, str] = {
    SameBuild.SAME: later("yes: the radio still has the build of the drill"),
    SameBuild.OTHER: later("NO: the build was changed since, so the drill must be repeated"),
    SameBuild.NOT_KNOWN: later("not known: the build of the drill or of today is not recorded"),
}
BLANKS: Mapping[Blank, str] = {
    Blank.PROVEN: later("yes"),
    Blank.NOT_PROVEN: later(
        "NOT PROVEN: it may hold a live key and is no spare until it is wiped and read back"
    ),
    Blank.ON_AIR: later("it is in service, and holds the key as it must"),
    Blank.NO_RADIO: later("no radio is on record for this drill"),
}
CAUTIONS = (
    later(
        "Never rehearse in radio range of the live mesh, and never with two radios on air under one identity."
    ),
    later("A drill uses up counter numbers: they come from the ledger, or the radio radiates nothing."),
    later("The radio holds a live key afterwards. It is no spare until it is wiped and proven blank."),
)
