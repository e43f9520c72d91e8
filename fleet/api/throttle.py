"""How often one token or one address may ask: a fixed count a minute, so that one gone wild harms nobody else."""

from datetime import datetime

from django.conf import settings
from django.core.cache import cache
from redis.exceptions import RedisError

from fleet.models import PushToken

WINDOW_SECONDS = 60


def seconds_to_wait(token: PushToken, now: datetime) -> int:
    """0, or past the count of this token the seconds to the next minute."""
    limit = settings.PUSHES_A_MINUTE
    return seconds_past(f"push-{token.pk}", limit, now) if limit else 0


def seconds_past(what: str, limit: int, now: datetime) -> int:
    """Count one more of `what` in this minute: 0, or past the limit the seconds to the next minute.

    A queue that is down refuses nobody: a copy is worth more than a count.
    """
    minute, second = divmod(int(now.timestamp()), WINDOW_SECONDS)
    name = f"{what}-{minute}"
    try:
        cache.add(name, 0, 2 * WINDOW_SECONDS)
        return WINDOW_SECONDS - second if cache.incr(name) > limit else 0
    except (RedisError, OSError, ValueError):
        return 0
