"""How often one token may push: a fixed count a minute, so that a machine gone wild harms nobody else."""

from datetime import datetime

from django.conf import settings
from django.core.cache import cache
from redis.exceptions import RedisError

from fleet.models import PushToken

WINDOW_SECONDS = 60


def seconds_to_wait(token: PushToken, now: datetime) -> int:
    """0, or past the count the seconds to the next minute.

    A queue that is down refuses nobody: a copy is worth more than a count.
    """
    limit = settings.PUSHES_A_MINUTE
    if not limit:
        return 0
    minute, second = divmod(int(now.timestamp()), WINDOW_SECONDS)
    name = f"push-{token.pk}-{minute}"
    try:
        cache.add(name, 0, 2 * WINDOW_SECONDS)
        return WINDOW_SECONDS - second if cache.incr(name) > limit else 0
    except (RedisError, OSError, ValueError):
        return 0
