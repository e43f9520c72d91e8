"""POST /api/v1/meshes/{code}/snapshots/: a machine at the home sends a document in."""

import zlib
from datetime import datetime

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse, UnreadablePostError
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt

from fleet.api.problems import NOT_HERE, problem
from fleet.api.throttle import seconds_to_wait
from fleet.api.tokens import CHALLENGE, TokenError, token_of
from fleet.models import How, TrayReason
from fleet.queries.sealed import Erased
from fleet.verbs.intake import Kind, Origin, Receipt, receive

PIECE, MOST_LET_PASS = 64 * 1024, 64 * 1024 * 1024
REFUSED = {TrayReason.UNREADABLE: 422, TrayReason.WRONG_HOME: 409, TrayReason.UNKNOWN_LAYOUT: 202}


class BodyError(Exception):
    """The body cannot be taken; carries the status to answer with."""

    def __init__(self, status: int, detail: str) -> None:
        super().__init__(detail)
        self.status = status


def inflated(body: bytes, limit: int) -> bytes:
    """A gzip body opened, never past the limit (a small body may hide a very large one)."""
    opener = zlib.decompressobj(wbits=31)
    try:
        plain = opener.decompress(body, limit + 1)
    except zlib.error as error:
        raise BodyError(400, f"Content-Encoding says gzip, but the body does not open: {error}.") from None
    if len(plain) > limit:
        raise BodyError(413, f"The body opens to more than {limit} octets, the most this book takes.")
    if not opener.eof:
        raise BodyError(400, "The gzip body ends too early. Send it again whole.")
    return plain


def body_of(request: HttpRequest) -> bytes:
    """The document's octets, whole, size checked before and after opening."""
    limit = settings.INTAKE_LIMIT
    declared = _declared_octets(request)
    if declared > limit:
        _let_pass(request, declared)
        raise BodyError(413, f"The body is larger than {limit} octets, the most this book takes.")
    encoding = request.headers.get("Content-Encoding", "identity").lower()
    try:
        body = request.body
    except RequestDataTooBig:
        raise BodyError(413, "The body is larger than this book takes.") from None
    except UnreadablePostError:
        body = b""
    if len(body) < declared:
        raise BodyError(
            400, f"The body broke off before its {declared} octets had come. Send it again whole."
        )
    if encoding == "gzip":
        return inflated(body, limit)
    if encoding != "identity":
        raise BodyError(415, f"Content-Encoding {encoding} is not taken; send gzip or none.")
    return body


def _let_pass(request: HttpRequest, declared: int) -> None:
    """Read past a body that is not taken: a sender in the middle of it would else see a broken line, not the answer."""
    if declared > MOST_LET_PASS:
        return
    try:
        while request.read(PIECE):
            pass
    except UnreadablePostError:
        return


def _declared_octets(request: HttpRequest) -> int:
    text = request.META.get("CONTENT_LENGTH") or ""
    if not text and "Transfer-Encoding" in request.headers:
        raise BodyError(411, "A body in chunks is not taken; send it whole, with its Content-Length.")
    if text and not (text.isascii() and text.isdecimal()):
        raise BodyError(400, "Content-Length is not a number of octets.")
    return int(text or 0)


@csrf_exempt
@login_not_required
def push(request: HttpRequest, code: str) -> HttpResponse:
    """Takes any document up to the size limit; what cannot be read waits in the tray and the answer says why."""
    try:
        return _push(request, code, timezone.now())
    except TokenError as error:
        return problem(401, str(error), {"WWW-Authenticate": CHALLENGE})
    except Erased as error:
        return problem(410, str(error))
    except BodyError as error:
        return problem(error.status, str(error))


def _push(request: HttpRequest, code: str, now: datetime) -> HttpResponse:
    token = token_of(request, now)
    if wait := seconds_to_wait(token, now):
        return problem(429, f"This token pushed too often. Wait {wait} seconds.", {"Retry-After": str(wait)})
    if request.method != "POST":
        return problem(405, f"{request.method} is not offered here; POST a document.", {"Allow": "POST"})
    if token.mesh.code != code:
        return problem(404, NOT_HERE)
    body = body_of(request)
    name = request.headers.get("X-File-Name", "")[:200]
    return answer(receive(token.mesh, body, Origin(How.PUSH, token.label, name), now))


def answer(receipt: Receipt) -> HttpResponse:
    """What the sender is told: where the record is, or why the document waits."""
    if receipt.kind is Kind.TRAYED:
        item = receipt.tray_item
        return problem(
            REFUSED[TrayReason(item.reason)],
            f"{item.get_reason_display()}. The document is kept in the tray.",
            tray=str(item.uid),
            errors=item.problems,
        )
    snapshot = receipt.snapshot
    body = {
        "snapshot": str(snapshot.uid),
        "mesh": snapshot.mesh.code,
        "taken_at": snapshot.taken_at.isoformat(),
        "grade": snapshot.grade,
        "repeated": receipt.kind is Kind.REPEATED,
        "findings": [
            {"code": row.code, "severity": row.severity, "path": row.path, "message": row.message}
            for row in receipt.findings
        ],
    }
    status = 200 if receipt.kind is Kind.REPEATED else 201
    return JsonResponse(body, status=status, headers={"Location": reverse("snapshot", args=[snapshot.uid])})
