"""Working a plan out: claimed by one worker at a time, an early answer soon, and the end within the seconds asked for.

The rows are the truth and the queue is a hint, as with rounds. A worker holds a plan while it gives signs; each claim
has a number, and whoever comes with an older one has lost it and writes nothing more.
"""

import logging
import secrets
import time
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import InterfaceError, OperationalError, transaction
from django.db.models import F, Q

from fleet.models import PlanState, VisitPlan
from fleet.planning.visits.budget import Budget
from fleet.planning.visits.plan import Plan
from fleet.planning.visits.relaxing import Give, what_would_give
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.span import VisitError
from fleet.queries.clock import Clock
from fleet.queries.visits.asked import asked_of
from fleet.verbs import journal
from fleet.verbs.chunk import Outcome
from fleet.verbs.visits.keeping import Gives, write_answer

log = logging.getLogger(__name__)

LOST_AFTER = timedelta(seconds=60)
"""A plan without a sign for so long has lost its worker: signs come every second of the search."""
MOST_CLAIMS = 3
SEARCH_SHARE = 0.85
"""Of the seconds: the rest is for writing the answer, and for looking what would have to give."""
SIGN_SECONDS, TELL_SECONDS = 0.5, 1.0
Progress = Callable[[int], None]


def solve(
    plan_id: int,
    clock: Clock,
    progress: Progress | None = None,
    ticks: Callable[[], float] = time.monotonic,
    rounds: int | None = None,
) -> Outcome:
    """Claim a plan and work it out to its end. ELSEWHERE: another holds it, or it is worked out.

    clock tells the book's time, ticks seconds that only go forward. Trouble with the database is raised, and the plan
    is found again; any other trouble is written down, and an early answer stands.
    """
    row = claim(plan_id, clock())
    if row is None:
        return Outcome.ELSEWHERE
    if row.claim > MOST_CLAIMS:
        told = f"Its worker was lost {MOST_CLAIMS} times"
        return _break_off(
            row, f"{told}; this is the best that was found.", f"{told}; plan fewer days.", clock()
        )
    work = Work(row, clock, ticks, progress, rounds)
    try:
        return work.through()
    except VisitError as error:
        return _refuse(row, str(error), clock())
    except (OperationalError, InterfaceError):
        raise
    except Exception as error:
        number = secrets.token_hex(4)
        log.exception("plan %s, error %s: %s", row.pk, number, type(error).__name__)
        told = f"{type(error).__name__} ({number} in the log)"
        return _break_off(
            row,
            f"The search broke off: {told}. This is the best that was found.",
            f"It broke off: {told}.",
            clock(),
        )


@transaction.atomic
def claim(plan_id: int, now: datetime) -> VisitPlan | None:
    """Take a plan that nobody works on; None where somebody does, or its answer is there."""
    free = Q(state=PlanState.WAITING) | Q(state=PlanState.WORKING, sign_at__lt=now - LOST_AFTER)
    free |= Q(state=PlanState.WORKING, sign_at__gt=now + LOST_AFTER)
    mine = VisitPlan.objects.filter(free, pk=plan_id).update(
        state=PlanState.WORKING, claim=F("claim") + 1, sign_at=now, begun_at=now, progress=0
    )
    return VisitPlan.objects.get(pk=plan_id) if mine else None


def left_alone(now: datetime) -> list[int]:
    """Plans whose worker was lost, or whose message was; for whoever hands them out again.

    One that waits is marked, so that the next look does not hand it out once more; one at work is free by itself.
    """
    since = now - LOST_AFTER
    waiting = VisitPlan.objects.filter(state=PlanState.WAITING, sign_at__lt=since)
    lost = VisitPlan.objects.filter(state=PlanState.WORKING, sign_at__lt=since)
    numbers = [*waiting.values_list("pk", flat=True), *lost.values_list("pk", flat=True)]
    waiting.update(sign_at=now)
    return numbers


class Work:
    """One claim of one plan, from the rows to the answer."""

    def __init__(
        self,
        row: VisitPlan,
        clock: Clock,
        ticks: Callable[[], float],
        progress: Progress | None,
        rounds: int | None,
    ) -> None:
        self._row, self._clock, self._ticks, self._progress = row, clock, ticks, progress
        self._rounds = rounds
        self._begun = ticks()
        self._signed = self._told = float("-inf")
        self._answers = 0
        self._stopped_by = row.stop_asked_by
        self._is_lost = False

    def through(self) -> Outcome:
        """Search, then look what would have to give, then write the last answer."""
        self._asked = asked_of(self._row)
        self._insist_something()
        budget = Budget(
            max(0.2, self._row.seconds * SEARCH_SHARE - self._spent),
            self._ticks,
            seed=self._row.pk,
            rounds=self._rounds,
            cancelled=lambda: bool(self._is_lost or self._stopped_by),
            on_progress=lambda share: self._sign(share * SEARCH_SHARE),
        )
        plan = make_plan(self._asked.request, budget, self._hear)
        stopped_at = self._spent
        gives = self._gives(plan)
        if self._is_lost or not self._finish(plan, gives, stopped_at):
            return Outcome.ELSEWHERE
        return Outcome.DONE

    @property
    def _spent(self) -> float:
        return self._ticks() - self._begun

    def _insist_something(self) -> None:
        asked = self._asked
        if not asked.request.technicians:
            told = " ".join(each.because for each in asked.absent)
            raise VisitError(f"Nobody can be sent on these days. {told}".strip())
        if not asked.request.visits and not asked.unplaced:
            raise VisitError("None of its visits is wanted any more; ask for another plan.")
        if not asked.request.visits:
            raise VisitError(" ".join(because for _, because in asked.unplaced))

    def _sign(self, share: float) -> None:
        """Say that somebody is at work, and hear whether it is enough; not more often than twice a second."""
        now = self._ticks()
        if now - self._signed < SIGN_SECONDS:
            return
        self._signed = now
        done = min(99, int(share * 100))
        mine = VisitPlan.objects.filter(pk=self._row.pk, claim=self._row.claim, state=PlanState.WORKING)
        if not mine.update(progress=done, sign_at=self._clock()):
            self._is_lost = True
            return
        self._stopped_by = mine.values_list("stop_asked_by", flat=True).first() or ""
        if self._progress is not None:
            self._progress(done)

    def _hear(self, plan: Plan) -> None:
        """Keep the first answer at once, and a better one from time to time."""
        self._answers += 1
        now = self._ticks()
        if self._is_lost or now - self._told < TELL_SECONDS:
            return
        self._is_lost = not self._keep_early(plan)
        self._told = self._ticks()

    @transaction.atomic
    def _keep_early(self, plan: Plan) -> bool:
        held = self._held()
        if held is None:
            return False
        now = self._clock()
        held.sign_at = now
        if held.weight is None or plan.weight < held.weight:
            write_answer(held, self._asked, plan, {})
            held.answers = self._answers
            held.cautions = self._cautions(plan)
            if held.early_at is None:
                held.early_at, held.early_weight = now, plan.weight
        held.save()
        return True

    def _gives(self, plan: Plan) -> dict[str, list[Give]]:
        """What would have to give for each visit left out, as many as the seconds allow; none once it is enough."""
        found: dict[str, list[Give]] = {}
        for number, each in enumerate(plan.left_out):
            if number and (self._spent >= self._row.seconds or self._stopped_by or self._is_lost):
                break
            self._sign(SEARCH_SHARE)
            found[each.visit] = what_would_give(self._asked.request, plan, each.visit)
        return found

    @transaction.atomic
    def _finish(self, plan: Plan, gives: Gives, stopped_at: float) -> bool:
        held = self._held()
        if held is None:
            return False
        now = self._clock()
        write_answer(held, self._asked, plan, gives)
        if held.early_at is None:
            held.early_at, held.early_weight = now, plan.weight
        held.answers = max(self._answers, 1)
        held.cautions = self._cautions(plan)
        if self._stopped_by and not plan.exact:
            held.cut_short = (
                f"{self._stopped_by} said that it is enough after {stopped_at:.0f} of {held.seconds} seconds."
            )
        _end(held, PlanState.READY, now)
        stops = sum(stop.lead for _, stop in plan.stops)
        journal.record(
            held.asked_by, "plan worked out", "", now, plan=held.pk, visits=stops, left_out=len(plan.left_out)
        )
        return True

    def _cautions(self, plan: Plan) -> list[str]:
        told = (*self._row.cautions, *plan.cautions, *(each.because for each in self._asked.absent))
        return list(dict.fromkeys(told))

    def _held(self) -> VisitPlan | None:
        return _held(self._row)


def _held(row: VisitPlan) -> VisitPlan | None:
    """The row under lock, as long as this claim holds it."""
    mine = VisitPlan.objects.select_for_update(of=("self",))
    return mine.filter(pk=row.pk, claim=row.claim, state=PlanState.WORKING).first()


def _end(row: VisitPlan, state: PlanState, now: datetime) -> None:
    row.state, row.progress, row.finished_at, row.sign_at = state, 100, now, now
    row.save()


@transaction.atomic
def _refuse(row: VisitPlan, because: str, now: datetime) -> Outcome:
    held = _held(row)
    if held is None:
        return Outcome.ELSEWHERE
    held.refused = because[:400]
    _end(held, PlanState.FAILED, now)
    return Outcome.DONE


@transaction.atomic
def _break_off(row: VisitPlan, with_answer: str, without: str, now: datetime) -> Outcome:
    """An early answer stands, and says that it was cut short; without one there is no plan."""
    held = _held(row)
    if held is None:
        return Outcome.ELSEWHERE
    if held.answers:
        held.cut_short = with_answer[:300]
        _end(held, PlanState.READY, now)
    else:
        held.refused = without[:400]
        _end(held, PlanState.FAILED, now)
    return Outcome.DONE
