"""Background jobs: ids in, one verb, log. Rows hold what is due; a lost message costs time, never work."""

import logging

from celery import shared_task
from django.utils import timezone

from fleet.verbs import round as rounds

log = logging.getLogger(__name__)


@shared_task
def run_round() -> None:
    """One pass over the book. A second one at the same time leaves the first alone."""
    try:
        report = rounds.run(timezone.now, by="schedule")
    except rounds.AlreadyRunning as error:
        log.info("%s", error)
        return
    log.info("round %s: %s of %s meshes, %s errors", report.pk, report.done, report.total, len(report.errors))
