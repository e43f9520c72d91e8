"""The usual checks and steps of a recovery, as a firm starts from them. Common practice, no source.

A home may replace any of them; the minutes are targets, not limits.
"""

from reports.facts.radio import HeadRadio
from reports.facts.recovery import Check, Step

DO_NOT_BEGIN = (
    "frost, or below the home's own limit, when the mesh runs heating or frost protection",
    "the night or the two hours before it, unless people are unsafe as things are",
    "a house where a vulnerable person is alone, or where nobody can watch the safety devices",
)


def usual_checks(radio: HeadRadio) -> tuple[Check, ...]:
    """Five checks, ten minutes in all, that tell whether it is the radio, naming this radio's feed and breaker."""
    feed = radio.feed or "its socket or feed"
    breaker = f", breaker {radio.breaker}" if radio.breaker else ""
    return (
        Check(f"Feed: {feed}{breaker}", "the radio's lamp is lit; a lamp in the same feed works", 2),
        Check("Cable and plug", "firm at both ends, no kink; another cable changes nothing", 1),
        Check("Controller", "it answers, and it still lists the radio under its stable path", 3),
        Check("Channel noise", "no new Wi-Fi box or camera beside the radio", 2),
        Check("Other mesh", "a second mesh of the house works as usual", 2),
    )


def usual_steps(waking_minutes: int) -> tuple[Step, ...]:
    """The steps of a swap in order; `waking_minutes` is the target for the wake-up walk of this home."""
    return (
        Step("Tell the people; agree box 2's fall-backs", 3, "somebody cannot agree: do not begin"),
        Step("If the old radio answers: one last snapshot", 2, "no answer: use the snapshot of box 5"),
        Step(
            "Silence it: unplug, battery out, photo, bag",
            2,
            "it cannot be unplugged: the new one stays off",
        ),
        Step(
            "Write snapshot and number (box 6) to spare",
            3,
            "wipe the spare, take a higher number, again",
        ),
        Step(
            "Connect the spare; set path, family; restart",
            2,
            "unplug it, then go by the back-out line below",
            point_of_no_return=True,
        ),
        Step("Let the routers settle; do nothing", 5, "under 9 in 10 back: channel, power, number"),
        Step(
            "Walk the wake-up list, safety devices first",
            waking_minutes,
            "silent past its longest silence: join it again",
        ),
    )
