"""The usual checks and steps of a recovery, as a firm starts from them. Common practice, no source.

A home may replace any of them; the minutes are targets, not limits.
"""

from reports.facts.fixed import fixed
from reports.facts.radio import HeadRadio
from reports.facts.recovery import Check, Step

DO_NOT_BEGIN = (
    fixed("frost, or below the home's own limit, when the mesh runs heating or frost protection"),
    fixed("the night or the two hours before it, unless people are unsafe as things are"),
    fixed("a house where a vulnerable person is alone, or where nobody can watch the safety devices"),
)


def usual_checks(radio: HeadRadio) -> tuple[Check, ...]:
    """Five checks, ten minutes in all, that tell whether it is the radio, naming this radio's feed and breaker."""
    feed = radio.feed or fixed("its socket or feed")
    if radio.breaker:
        fed = fixed("Feed: {feed}, breaker {breaker}", feed=feed, breaker=radio.breaker)
    else:
        fed = fixed("Feed: {feed}", feed=feed)
    return (
        Check(fed, fixed("the radio's lamp is lit; a lamp in the same feed works"), 2),
        Check(fixed("Cable and plug"), fixed("firm at both ends, no kink; another cable changes nothing"), 1),
        Check(
            fixed("Controller"), fixed("it answers, and it still lists the radio under its stable path"), 3
        ),
        Check(fixed("Channel noise"), fixed("no new Wi-Fi box or camera beside the radio"), 2),
        Check(fixed("Other mesh"), fixed("a second mesh of the house works as usual"), 2),
    )


def usual_steps(waking_minutes: int) -> tuple[Step, ...]:
    """The steps of a swap in order; `waking_minutes` is the target for the wake-up walk of this home."""
    return (
        Step(
            fixed("Tell the people; agree box 2's fall-backs"),
            3,
            fixed("somebody cannot agree: do not begin"),
        ),
        Step(
            fixed("If the old radio answers: one last snapshot"),
            2,
            fixed("no answer: use the snapshot of box 5"),
        ),
        Step(
            fixed("Silence it: unplug, battery out, photo, bag"),
            2,
            fixed("it cannot be unplugged: the new one stays off"),
        ),
        Step(
            fixed("Write snapshot and number (box 6) to spare"),
            3,
            fixed("wipe the spare, take a higher number, again"),
        ),
        Step(
            fixed("Connect the spare; set path, family; restart"),
            2,
            fixed("unplug it, then go by the back-out line below"),
            point_of_no_return=True,
        ),
        Step(
            fixed("Let the routers settle; do nothing"),
            5,
            fixed("under 9 in 10 back: channel, power, number"),
        ),
        Step(
            fixed("Walk the wake-up list, safety devices first"),
            waking_minutes,
            fixed("silent past its longest silence: join it again"),
        ),
    )
