"""How often one token may push: a fixed count a minute, so that a machine gone wild harms nobody else."""

import time

from django.conf import settings
from django.core.cache import cache
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle
from rest_framework.views import APIView

WINDOW_SECONDS = 60


class PushThrottle(BaseThrottle):
    """429 with Retry-After past the count. A queue that is down refuses nobody: a copy is worth more than a count."""

    def allow_request(self, request: Request, view: APIView) -> bool:
        limit = settings.PUSHES_A_MINUTE
        if not limit:
            return True
        name = f"push-{request.auth.pk}-{int(time.time() // WINDOW_SECONDS)}"
        try:
            cache.add(name, 0, 2 * WINDOW_SECONDS)
            return cache.incr(name) <= limit
        except (OSError, ValueError):
            return True

    def wait(self) -> float:
        """Seconds to the next minute."""
        return WINDOW_SECONDS - time.time() % WINDOW_SECONDS
