"""The sentences of messages, in English; catalogues in fleet/locale hold them in the other languages.

`later` marks a text for the catalogues that is looked up when a message is written.
"""

from typing import Protocol

from fleet.planning.messages.causes import Cause
from fleet.planning.messages.standing import Trouble
from fleet.planning.phrases.ready import Act
from fleet.planning.readiness import GateName


class Words(Protocol):
    """A catalogue in one language, such as the module django.utils.translation while a language is set."""

    def gettext(self, message: str) -> str:
        """The text in that language; the English one where it is missing."""

    def ngettext(self, singular: str, plural: str, number: int) -> str:
        """The form that the language has for this number."""


def later(text: str) -> str:
    """The text itself, marked for the catalogues."""
    return text


NOT_JUDGED = later("No round has judged it yet")
STRANDED = later("A swap failed, and neither radio is known to speak")
FAILED: dict[GateName | None, str] = {
    GateName.SNAPSHOT: later("There is no snapshot that can be restored"),
    GateName.SPARE: later("There is no spare that counts"),
    GateName.FRESH: later("The newest sound snapshot is too old"),
    GateName.SEEN_LIVE: later("No snapshot was ever seen to match the live mesh"),
    GateName.DRILL: later("No drill was passed in time"),
    GateName.TESTED: later("The spare is untested for this mesh"),
    GateName.IN_TIME: later("A restore takes longer than was promised"),
}
UNKNOWN: dict[GateName | None, str] = {
    GateName.BASICS: later("Something that must be known is missing"),
    GateName.SPARE: later("Nobody can say whether a spare counts"),
    GateName.FRESH: later("Nobody can say how old the newest snapshot is"),
    GateName.SEEN_LIVE: later("Nobody can say whether a snapshot matches the live mesh"),
    GateName.DRILL: later("No interval for drills is agreed"),
    GateName.IN_TIME: later("Nobody can say how long a restore takes"),
    GateName.NO_HANDWORK: later("Nobody can say how many devices must be joined again"),
}
AFTER_STRANDING = later("Give a radio a new number before it speaks, or join the devices anew.")
# Pages only: nobody is written to while a swap is at work.
AFTER_SILENCE = Act.AFTER_SILENCE.of().text
ACTS: dict[GateName | None, str] = {
    None: later("Run a round."),
    GateName.BASICS: later("Enter what is missing on the page of the mesh."),
    GateName.SNAPSHOT: later("Take a snapshot and send it in."),
    GateName.SPARE: later("Get a spare, prove it blank, or bring it nearer."),
    GateName.FRESH: later("Find out why nothing newer has landed, then take a snapshot and send it in."),
    GateName.SEEN_LIVE: later("Compare the newest snapshot with the live mesh."),
    GateName.DRILL: later("Hold a drill, and agree how often one is held."),
    GateName.TESTED: later("Try the spare in a drill on the bench."),
    GateName.IN_TIME: later("Keep a spare nearer, or agree a longer time."),
    GateName.NO_HANDWORK: later("Judge the spare against the newest snapshot."),
}
KINDS = {
    "lock": later("locks"),
    "heat": later("heating"),
    "smoke": later("smoke alarms"),
    "water": later("water"),
    "gas": later("gas alarms"),
    "call": later("calls for help"),
    "shutter": later("shutters"),
}


def reason(cause: Cause, words: Words) -> str:
    """What is wrong, without a full stop."""
    if cause.trouble is Trouble.STRANDED:
        return words.gettext(STRANDED)
    sentences = UNKNOWN if cause.trouble is Trouble.UNKNOWN else FAILED
    return words.gettext(sentences.get(cause.gate, NOT_JUDGED))


def act(cause: Cause, words: Words) -> str:
    """The cheapest thing that helps."""
    return words.gettext(AFTER_STRANDING if cause.trouble is Trouble.STRANDED else ACTS[cause.gate])


def homes(trouble: Trouble | None, count: int, words: Words) -> str:
    """How many homes are in this trouble, as a sentence; None: in none."""
    if trouble is Trouble.STRANDED:
        text = words.ngettext("%(count)d home is stranded.", "%(count)d homes are stranded.", count)
    elif trouble is Trouble.BARE:
        text = words.ngettext(
            "%(count)d home could not be brought back today.",
            "%(count)d homes could not be brought back today.",
            count,
        )
    elif trouble is Trouble.UNKNOWN:
        text = words.ngettext(
            "For %(count)d home nobody can say whether it could be brought back.",
            "For %(count)d homes nobody can say whether they could be brought back.",
            count,
        )
    elif trouble is Trouble.THIN:
        text = words.ngettext("%(count)d home is on thin cover.", "%(count)d homes are on thin cover.", count)
    else:
        text = words.ngettext("%(count)d home is covered.", "%(count)d homes are covered.", count)
    return text % {"count": count}


def urgent_homes(trouble: Trouble, count: int, words: Words) -> str:
    """The same of homes that people's safety hangs on."""
    if trouble is Trouble.STRANDED:
        text = words.ngettext(
            "%(count)d home with locks, heating or alarms is stranded.",
            "%(count)d homes with locks, heating or alarms are stranded.",
            count,
        )
    else:
        text = words.ngettext(
            "%(count)d home with locks, heating or alarms could not be brought back.",
            "%(count)d homes with locks, heating or alarms could not be brought back.",
            count,
        )
    return text % {"count": count}
