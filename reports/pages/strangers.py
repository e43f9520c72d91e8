"""What pages share that strangers open: how often one address may ask, and what no such answer may carry."""

from collections.abc import Callable
from functools import wraps
from hashlib import sha256

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt

from fleet.api.throttle import seconds_past

ASKED_A_MINUTE = 30
Page = Callable[..., HttpResponse]


def open_to_strangers(page: Page) -> Page:
    """A page without an account: counted by address, kept nowhere, told to no other site and to no log.

    No cookie counts here, so that nobody can be made to act by another's page: no token against that is asked for.
    """

    @csrf_exempt
    @login_not_required
    @wraps(page)
    def answered(request: HttpRequest, *args: object, **named: object) -> HttpResponse:
        if wait := seconds_past(f"asked-{address_mark(request)}", ASKED_A_MINUTE, timezone.now()):
            response = too_often(request, wait)
        else:
            response = page(request, *args, **named)
        response.headers["Referrer-Policy"] = "no-referrer"
        response.headers["Cache-Control"] = "no-store, private"
        response.headers["X-Robots-Tag"] = "noindex, nofollow"
        # Django writes the path of every refusal into the log: not of these.
        response._has_been_logged = True  # type: ignore[attr-defined]
        return response

    return answered


def address_mark(request: HttpRequest) -> str:
    """Whoever asks, by the address that the proxy in front of the book has seen; not kept in clear."""
    address = request.META.get("REMOTE_ADDR", "")
    if settings.SECURE_PROXY:
        # The proxy adds the address that it saw as the last one; those before it are the asker's own tale.
        address = request.headers.get("X-Forwarded-For", address).rpartition(",")[2].strip()
    return sha256(address.encode()).hexdigest()[:16]


def too_often(request: HttpRequest, wait: int) -> HttpResponse:
    """Asked too often: how long to wait."""
    line = f"Too many questions from here. Wait {wait} seconds, then ask again."
    response = render(request, "reports/plain_answer.html", {"first_line": line}, status=429)
    response.headers["Retry-After"] = str(wait)
    return response
