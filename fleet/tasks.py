"""Background jobs: ids in, one verb, log. Rows hold what is due; a lost message costs time, never work."""

import logging
from collections.abc import Callable, Iterable
from datetime import timedelta

from celery import Task, shared_task
from django.db import InterfaceError, OperationalError
from kombu.exceptions import OperationalError as QueueDown

from fleet.queries.clock import book_time
from fleet.verbs import deliver, journal_chain, rank_swaps, send, sign_of_life, storm, suppose, tell
from fleet.verbs import round as rounds
from fleet.verbs.chunk import Holder, Outcome
from fleet.verbs.drilling.lots import draw_if_due
from fleet.verbs.visits import solving

log = logging.getLogger(__name__)

# A worker goes on with other jobs after this long, and with the rest of the chunk when it comes to it again.
A_WHILE = timedelta(seconds=60)


@shared_task
def look_after_rounds() -> None:
    """Every minute: hand out again what was lost, and begin the hour's round where it has not begun."""
    time = book_time()
    for number in suppose.left_alone(time.now):
        hand_out_supposal(number)
    for number in rank_swaps.left_alone(time.now):
        hand_out_ranking(number)
    for number in storm.left_alone(time.now):
        hand_out_storm(number)
    for number in solving.left_alone(time.now):
        hand_out_plan(number)
    if found := rounds.mend(time.now):
        hand_out(*found)
    if rounds.is_due(time.now):
        try:
            report = rounds.begin(time.now, "schedule", time.off, scheduled=True)
        except rounds.AlreadyRunning as error:
            log.info("%s", error)
            return
        hand_out(report.pk, report.chunks.values_list("number", flat=True))


def _handed(what: str, put: Callable[[], object]) -> bool:
    """Put work on the queue. False where it does not answer: the next look after the rounds does it then."""
    try:
        put()
    except QueueDown as error:
        log.warning("the queue does not answer, so %s waits: %s", what, type(error).__name__)
        return False
    return True


def hand_out(round_id: int, numbers: Iterable[int]) -> bool:
    """Put chunks of a round on the queue."""

    def put() -> None:
        for number in numbers:
            run_chunk.delay(round_id, number)

    return _handed(f"round {round_id}", put)


A_CHUNK = {
    # A mesh that takes so long is noted as an error of its own; a worker that hangs for longer is killed, and by then
    # nobody waits for it: the lease of its chunk is over.
    "soft_time_limit": 150,
    "time_limit": 180,
    # The database was away or chose another's transaction: the same task comes again, and takes its own chunk up.
    "autoretry_for": (OperationalError, InterfaceError),
    "retry_backoff": 2,
    "retry_backoff_max": 60,
    "max_retries": 20,
}


@shared_task(bind=True, **A_CHUNK)
def run_chunk(self: Task, round_id: int, number: int) -> str:
    """Work on one chunk of a round for a while."""
    time = book_time()
    holder = Holder(self.request.id, self.request.hostname or "")
    outcome = rounds.run_chunk(round_id, number, holder, time.clock, until=time.now + A_WHILE)
    if outcome is Outcome.PUT_DOWN:
        hand_out(round_id, [number])
    return outcome


@shared_task(**A_CHUNK)
def go_on_supposing(supposal_id: int) -> str:
    """Work on the answer to what somebody supposed, for a while."""
    time = book_time()
    outcome = suppose.go_on(supposal_id, time.clock, until=time.now + A_WHILE)
    if outcome is Outcome.PUT_DOWN:
        hand_out_supposal(supposal_id)
    return outcome


def hand_out_supposal(supposal_id: int) -> bool:
    """Put an answer on the queue."""
    return _handed(f"answer {supposal_id}", lambda: go_on_supposing.delay(supposal_id))


@shared_task(**A_CHUNK)
def solve_plan(plan_id: int) -> str:
    """Work a plan of visits out, to its end: it takes at most the two minutes that were asked for."""
    return solving.solve(plan_id, book_time().clock)


def hand_out_plan(plan_id: int) -> bool:
    """Put a plan on the queue."""
    return _handed(f"plan {plan_id}", lambda: solve_plan.delay(plan_id))


@shared_task(**A_CHUNK)
def go_on_ranking(ranking_id: int) -> str:
    """Work on the order of swaps, for a while."""
    time = book_time()
    outcome = rank_swaps.go_on(ranking_id, time.clock, until=time.now + A_WHILE)
    if outcome is Outcome.PUT_DOWN:
        hand_out_ranking(ranking_id)
    return outcome


def hand_out_ranking(ranking_id: int) -> bool:
    """Put an order on the queue."""
    return _handed(f"order {ranking_id}", lambda: go_on_ranking.delay(ranking_id))


@shared_task(**A_CHUNK)
def play_storm(storm_id: int) -> str:
    """Play a storm exercise to its end; its size is bounded where it is asked."""
    return storm.play(storm_id, book_time().clock)


def hand_out_storm(storm_id: int) -> bool:
    """Put an exercise on the queue."""
    return _handed(f"storm {storm_id}", lambda: play_storm.delay(storm_id))


@shared_task
def tell_and_send() -> None:
    """Every five minutes: write the messages that are due, and send what waits."""
    time = book_time()
    written = tell.tell(time.now)
    sent = send.send_due(time.clock)
    log.info("messages: %s written, %s sent, %s failed", len(written), sent.sent, sent.failed)


@shared_task
def deliver_events() -> None:
    """Every minute: make events of what happened, deliver what is due, and give a sign of life after a round."""
    time = book_time()
    made = deliver.gather(time.now)
    done = deliver.deliver_due(time.clock)
    deliver.forget(time.now)
    sign_of_life.give_sign(time.now)
    log.info("events: %s made, %s delivered, %s failed", made, done.taken, done.failed)


@shared_task
def draw_drill_lots() -> None:
    """Every hour: draw this month's meshes for a drill, where nobody has drawn them yet."""
    if (row := draw_if_due(book_time().now)) is not None:
        log.info("drill lots of %s: %s drawn", row, row.count)


@shared_task
def chain_journal() -> None:
    """Every minute: chain the lines that were written since."""
    sealed = journal_chain.seal(book_time().now)
    if sealed:
        log.info("journal: %s lines chained", sealed)
