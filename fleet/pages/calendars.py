"""The calendar that a phone subscribes to, and the address of one's own, made, renewed and ended.

The feed is the one page whose secret stands in its address (`fleet.verbs.feeds` says why and what guards it).
"""

from datetime import datetime
from hashlib import sha256

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_POST, require_safe

from fleet.models import FeedEvent, FeedToken
from fleet.planning.visits.feed import feed as written
from fleet.queries.feeds import SHOWN_AFTER, as_event, token_of_digest
from fleet.verbs import feeds
from fleet.verbs.feeds import KEY
from fleet.verbs.push_tokens import digest_of
from sites import access

MAKER = "-//Sparebook//Visits//EN"
TOKEN_LETTERS = 43
CLOSED = "This calendar address opens nothing. Make a new one on your own page of the book.\n"


@require_safe
@login_not_required
@sensitive_variables("token", "text")
def feed(request: HttpRequest) -> HttpResponse:
    """The visits of whoever's token it is (RFC 5545), with an ETag that changes only with what it says."""
    now = timezone.now()
    text = request.GET.get(KEY, "")
    token = token_of_digest(digest_of(text), timezone.localdate()) if len(text) == TOKEN_LETTERS else None
    if token is None:
        return _unlogged(HttpResponse(CLOSED, status=404, content_type="text/plain; charset=utf-8"))
    feeds.note_use(token, now)
    body = body_of(token, now)
    etag = f'"{sha256(body).hexdigest()}"'
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8", headers={"ETag": etag})
    return _unlogged(get_conditional_response(request, etag=etag, response=response))


def body_of(token: FeedToken, now: datetime) -> bytes:
    """What the calendar says as of now; the same octets until it says something else."""
    rows = feeds.carry_on(token.person, now - SHOWN_AFTER, now)
    return written("Visits", MAKER, map(as_event, rows), _stamp(rows, token)).encode()


@require_POST
@never_cache
@sensitive_variables("text")
def make(request: HttpRequest, username: str) -> HttpResponse:
    """The only page that ever shows the address, so it is the answer itself and not a redirect. One's own alone."""
    row = access.person_for(request.user, username, timezone.localdate())
    if row.pk != request.user.pk:
        raise PermissionDenied(
            "An address is made by the person whose calendar it is: it is shown to them alone."
        )
    _, text = feeds.make(row, str(request.user), timezone.now())
    path = reverse("calendar-feed")
    book = settings.BOOK_ADDRESS.rstrip("/")
    context = {
        "person": row,
        "address": f"{book + path if book else request.build_absolute_uri(path)}?{KEY}={text}",
        "first_line": "Copy this address now: it is shown once.",
    }
    response = render(request, "fleet/calendar_address.html", context)
    response.headers["Referrer-Policy"] = "no-referrer"
    return response


@require_POST
def end(request: HttpRequest, username: str) -> HttpResponse:
    """One's own, or for those who decide anybody's, such as that of a lost phone."""
    row = access.person_for(request.user, username, timezone.localdate())
    feeds.revoke(row, str(request.user), timezone.now())
    messages.success(request, "The calendar address opens nothing any more.")
    return redirect("person", row.username)


def _stamp(rows: list[FeedEvent], token: FeedToken) -> datetime:
    """When the calendar last said something else; not now, or every answer would differ."""
    return max((row.changed_at for row in rows), default=token.made_at)


def _unlogged(response: HttpResponse) -> HttpResponse:
    """Stored by nobody on the way, told to no other site and to no log."""
    response.headers["Cache-Control"] = "no-store, private"
    response.headers["Referrer-Policy"] = "no-referrer"
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    # Django would log the path of a refusal. It holds no secret; but phones with an old address ask for ever.
    response._has_been_logged = True  # type: ignore[attr-defined]
    return response
