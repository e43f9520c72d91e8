"""Background jobs of paper. Rows hold what is due; the queue is a hint, and doing anything twice changes nothing."""

import logging
from datetime import datetime, timedelta

from celery import Task, shared_task
from django.db import InterfaceError, OperationalError
from django.utils import timezone
from kombu.exceptions import OperationalError as QueueDown

from fleet.models import Round, RoundState
from fleet.queries.clock import book_time
from reports.verbs import issuing, mail_sheet, remaking, stale

log = logging.getLogger(__name__)

# A worker goes on with other jobs after this long; what is left is handed out again within a minute.
A_WHILE = timedelta(seconds=45)
EXPIRES_SECONDS = 55
# So many sheets keep one more worker busy for about a minute; never more jobs than this at a time.
SHEETS_A_JOB, MOST_JOBS = 400, 8
AGAIN = {
    "autoretry_for": (OperationalError, InterfaceError),
    "retry_backoff": 2,
    "retry_backoff_max": 60,
    "max_retries": 20,
}


@shared_task
def look_after_papers() -> None:
    """Every minute: compare sheets after a round, go on with making new ones, and send what is to be mailed."""
    time = book_time()
    if moment := last_round_at():
        _hand_out(compare_sheets, stale.due(moment).count())
    hand_out_making(remaking.due(time.now).count())
    sent = mail_sheet.send_due(time.clock)
    if sent.sent or sent.failed:
        log.info("sheets by mail: %s sent, %s failed", sent.sent, sent.failed)


def last_round_at() -> datetime | None:
    """When the last round ended: every sheet must have been compared since."""
    done = Round.objects.filter(state=RoundState.DONE).order_by("-finished_at").first()
    return done.finished_at if done else None


def hand_out_making(sheets: int) -> bool:
    """Put the making of so many sheets on the queue. False where it does not answer: the next minute does it then."""
    return _hand_out(make_sheets, sheets)


def _hand_out(task: Task, sheets: int) -> bool:
    jobs = min(-(-sheets // SHEETS_A_JOB), MOST_JOBS)
    try:
        for _ in range(jobs):
            task.apply_async(expires=EXPIRES_SECONDS)
    except QueueDown as error:
        log.warning("the queue does not answer, so papers wait: %s", type(error).__name__)
        return False
    return True


@shared_task(**AGAIN)
def compare_sheets() -> None:
    """Compare sheets with what the book says since the last round, for a while."""
    time = book_time()
    if moment := last_round_at():
        marked = stale.mark_stale(moment, time.clock, until=time.now + A_WHILE)
        log.info(
            "%s sheets compared, %s out of date, %s failed", marked.compared, marked.stale, marked.failed
        )


@shared_task(**AGAIN)
def make_sheets() -> None:
    """Make sheets anew that somebody or the schedule asked for, for a while."""
    time = book_time()
    log.info("%s sheets dealt with", remaking.work(time.clock, until=time.now + A_WHILE))


@shared_task
def renew_stale_sheets() -> None:
    """Make the sheets that are missing, and ask for new ones in place of those that are out of date."""
    now = timezone.now()
    missing = issuing.issue_missing(now, by="schedule")
    begun = remaking.begin(remaking.stale(), "schedule", now)
    if begun:
        hand_out_making(begun.total)
    log.info("%s sheets made, %s asked for anew", len(missing), begun.total if begun else 0)
