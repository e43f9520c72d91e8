"""After each complete round an address outside is asked, so that somebody there notices when it is not."""

import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.core.cache import cache

from fleet.queries.standings import last_complete_round
from fleet.verbs.call_out import NoAnswer, call_out

log = logging.getLogger(__name__)

# A sign for a round of long ago would say that rounds run when they do not.
FRESH_FOR = timedelta(hours=1)
REMEMBERED_SECONDS = 24 * 3600


def give_sign(now: datetime) -> bool:
    """Ask the address once for the last complete round; tried again at the next call where nobody answered well."""
    last = last_complete_round()
    if not settings.SIGN_OF_LIFE or last is None or now - last.finished_at > FRESH_FOR:
        return False
    given = f"sign-of-life-{last.pk}"
    if not cache.add(given, True, REMEMBERED_SECONDS):
        return False
    try:
        status = call_out("GET", settings.SIGN_OF_LIFE, {})
    except NoAnswer as error:
        log.warning("no sign of life could be given: %s", error)
    else:
        if 200 <= status < 300:
            return True
        log.warning("the sign of life was answered with %s", status)
    cache.delete(given)
    return False
