"""Background jobs of paper."""

import logging

from celery import shared_task
from django.utils import timezone

from reports.verbs import issuing

log = logging.getLogger(__name__)


@shared_task
def renew_stale_sheets() -> None:
    """Make the sheets that are missing and those whose facts have changed."""
    now = timezone.now()
    missing = issuing.issue_missing(now, by="schedule")
    renewed = issuing.renew_stale(now, by="schedule")
    log.info("%s sheets made, %s renewed", len(missing), len(renewed))
