"""Is this paper one of ours, and does it still hold? Open to whoever has a sheet before them, without an account."""

from hashlib import sha256

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, StopUpload
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from reports.pages.strangers import open_to_strangers
from reports.queries.verifying import (
    MOST_OCTETS,
    NO_SUCH,
    NO_SUCH_FILE,
    Verified,
    said,
    verified,
    verified_file,
)

ROOM_FOR_THE_FORM = 64 * 1024


@require_safe
@open_to_strangers
def verify(request: HttpRequest, number: str, digest: str) -> HttpResponse:
    """What the code on a sheet opens."""
    return _answer(request, verified(number, digest), NO_SUCH)


@require_http_methods(["GET", "HEAD", "POST"])
@open_to_strangers
def check(request: HttpRequest) -> HttpResponse:
    """Number and digest typed from paper, or the file itself: it is worked through as it comes and never kept."""
    if request.method == "POST":
        return _check_file(request)
    number, digest = request.GET.get("number", ""), request.GET.get("digest", "")
    if number and digest:
        return _answer(request, verified(number, digest), NO_SUCH)
    line = "Is this sheet one of ours, and does it still hold?"
    return render(
        request, "reports/paper_check.html", {"first_line": line, "most_mb": MOST_OCTETS // 1024**2}
    )


def _check_file(request: HttpRequest) -> HttpResponse:
    hashing = Hashing(request)
    request.upload_handlers = [hashing]
    hashing.too_large = _length(request) > MOST_OCTETS + ROOM_FOR_THE_FORM
    if hashing.too_large or "file" not in request.FILES or hashing.too_large:
        wrong = f"larger than {MOST_OCTETS // 1024**2} MB" if hashing.too_large else "no file came"
        line = f"Nothing was checked: {wrong}; right is the PDF of one sheet."
        context = {"first_line": line, "most_mb": MOST_OCTETS // 1024**2}
        return render(request, "reports/paper_check.html", context, status=413 if hashing.too_large else 422)
    return _answer(request, verified_file(hashing.digest), NO_SUCH_FILE)


def _length(request: HttpRequest) -> int:
    """How many octets the request says that it brings; 0 where that is no number, as Django reads it too."""
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


class Hashing(FileUploadHandler):
    """Works out the SHA-256 of one upload piece by piece and keeps none of it."""

    def __init__(self, request: HttpRequest) -> None:
        super().__init__(request)
        self._sum, self._octets, self.too_large = sha256(), 0, False

    @property
    def digest(self) -> str:
        """Lower-case hex."""
        return self._sum.hexdigest()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        self._octets += len(raw_data)
        if self._octets > MOST_OCTETS:
            self.too_large = True
            raise StopUpload(connection_reset=False)
        self._sum.update(raw_data)

    def file_complete(self, file_size: int) -> UploadedFile:
        return UploadedFile(name="sheet.pdf", size=file_size)


def _answer(request: HttpRequest, found: Verified | None, otherwise: str) -> HttpResponse:
    if found is None:
        return render(request, "reports/paper_unknown.html", {"first_line": otherwise}, status=404)
    context = {"first_line": said(found), "found": found}
    return render(request, "reports/paper_verified.html", context)
