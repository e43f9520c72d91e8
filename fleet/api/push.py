"""POST /api/v1/meshes/{code}/snapshots/: a machine at the home sends a document in."""

import zlib

from django.conf import settings
from django.http import Http404, HttpResponse, JsonResponse
from django.urls import reverse
from django.utils import timezone
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.views import APIView

from fleet.api.problems import problem
from fleet.api.throttle import PushThrottle
from fleet.api.tokens import PushTokenAuthentication
from fleet.models import How, TrayReason
from fleet.verbs.intake import Kind, Origin, Receipt, receive

CHUNK = 64 * 1024
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


def body_of(request: Request) -> bytes:
    """The document's octets, size checked before and after opening."""
    limit = settings.INTAKE_LIMIT
    if int(request.META.get("CONTENT_LENGTH") or 0) > limit:
        raise BodyError(413, f"The body is larger than {limit} octets, the most this book takes.")
    encoding = request.headers.get("Content-Encoding", "identity").lower()
    body = request.body
    if encoding == "gzip":
        return inflated(body, limit)
    if encoding != "identity":
        raise BodyError(415, f"Content-Encoding {encoding} is not taken; send gzip or none.")
    return body


class PushView(APIView):
    """Takes any document up to the size limit; what cannot be read waits in the tray and the answer says why."""

    authentication_classes = [PushTokenAuthentication]
    permission_classes = [IsAuthenticated]
    throttle_classes = [PushThrottle]

    def post(self, request: Request, code: str) -> HttpResponse:
        token = request.auth
        if token.mesh.code != code:
            raise Http404
        try:
            body = body_of(request)
        except BodyError as error:
            return problem(error.status, str(error))
        name = request.headers.get("X-File-Name", "")[:200]
        return answer(receive(token.mesh, body, Origin(How.PUSH, token.label, name), timezone.now()))


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
