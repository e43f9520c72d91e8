"""The first lines of pages about firmware, passages and radios that fail."""

from collections.abc import Sequence

from django.utils.formats import date_format

from fleet.models import PassageState
from fleet.pages.writing import of_hundred
from fleet.planning.rings import RingState
from fleet.planning.service_years import Speaks
from fleet.queries.failures import Failures
from fleet.queries.firmware import BuildView, ModelView
from fleet.queries.passages import Card


def of_all(models: Sequence[ModelView], due: int) -> str:
    """How many builds may go into homes, what is due, and where a build stands that should not."""
    builds = [build for model in models for build in model.builds]
    if not builds:
        return "No build is in the book yet."
    may = sum(build.answer.may and not build.answer.by_ring for build in builds)
    drawn = sum(build.answer.by_ring for build in builds)
    told = f"{may} of {len(builds)} builds may go into homes"
    told += f", {drawn} more into those that were drawn" if drawn else ""
    told += f"; {_radios(due)} {'is' if due == 1 else 'are'} due for an update" if due else ""
    left = sum(model.to_be_left for model in models)
    if left:
        homes = "one mesh is led by a build" if left == 1 else f"{left} meshes are led by builds"
        told += f"; {homes} on hold or barred"
    return f"{told}."


def of_model(model: ModelView) -> str:
    """Which builds of one model may go into homes."""
    may = [each.row.version for each in model.builds if each.answer.may and not each.answer.by_ring]
    drawn = [each.row.version for each in model.builds if each.answer.by_ring]
    told = f"{_listed(may) if may else 'No build'} of the {model.row} may go into homes"
    return f"{told}; {_listed(drawn)} only as far as its passage has come." if drawn else f"{told}."


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def of_build(build: BuildView) -> str:
    """May it go into homes?"""
    return f"May {build.row.version} go into homes? {build.answer.because}"


def of_passage(card: Card) -> str:
    """Whether the build may go further."""
    target, current = card.passage.target.version, card.stand.current
    if card.passage.state == PassageState.GIVEN_UP:
        return f"The passage to {target} was given up."
    if current is None:
        return f"{target} has come through all its rings."
    if card.passage.state == PassageState.STOPPED:
        return f"{target} goes no further: the passage is stopped at its ring {current.kind.words}."
    if current.state is RingState.OPEN:
        return f"{target} may go to the ring {current.kind.words} and no further: {_radios(current.due)} to be updated."
    if current.state is RingState.SOAKING:
        return f"{target} goes no further yet: its ring {current.kind.words} soaks."
    if current.state is RingState.PROVEN:
        return f"{target} has passed its ring {current.kind.words}: it may go on."
    if current.state is RingState.TOO_FEW:
        return f"{target} goes no further yet: too few units prove its ring {current.kind.words}."
    return f"{target} is not proven in its ring {current.kind.words}; it goes on only at a person's word."


def of_failures(found: Failures) -> str:
    """The family that may fail most often, and the claims that are due."""
    known = [each for each in found.families if each.rate.upper is not None]
    due = len(found.due)
    claims = ""
    if due:
        nearest = found.due[0].claim.last_day
        are = " is" if due == 1 else "s are"
        claims = f"{due} warranty claim{are} due, the first by {date_format(nearest, 'j M Y')}"
    if not known:
        return f"{claims}." if claims else "No radio has served yet: nobody can say how often they fail."
    worst = max(known, key=lambda each: each.rate.upper or 0.0)
    most = of_hundred(worst.rate.upper)
    few = ", as they have served few" if worst.rate.speaks is Speaks.FAMILY_WITH_FEW else ""
    told = f"Radios of family {worst.name} may fail most often: up to {most} times in 100 radio-years{few}"
    return f"{told}; {claims}." if claims else f"{told}; no warranty claim is due."


def _radios(count: int) -> str:
    return "1 radio" if count == 1 else f"{count} radios"
