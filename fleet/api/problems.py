"""Errors as problem details (RFC 9457), with the same sentences that pages and commands show."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views import defaults
from rest_framework.exceptions import APIException
from rest_framework.response import Response
from rest_framework.views import exception_handler

MEDIA_TYPE = "application/problem+json"
FOR_MACHINES = "/api/"
NOT_HERE = "There is no such thing here, or this token may not see it."


def problem(
    status: int, detail: str, headers: Mapping[str, str] | None = None, **extra: object
) -> JsonResponse:
    """One problem document: the status, its standard title (type about:blank), and our sentence."""
    body = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        **extra,
    }
    return JsonResponse(body, status=status, content_type=MEDIA_TYPE, headers=dict(headers or {}))


def as_problem(error: Exception, context: dict[str, Any]) -> HttpResponse | Response | None:
    """The framework's errors in the same form; None lets an unforeseen one reach the error page and the log."""
    if isinstance(error, RequestDataTooBig):
        return problem(413, "The body is larger than this book takes.")
    if isinstance(error, Http404):
        return problem(404, NOT_HERE)
    plain = exception_handler(error, context)
    if plain is None:
        return None
    detail = (
        str(error.detail) if isinstance(error, APIException) else HTTPStatus(plain.status_code).description
    )
    kept = {
        name: value for name, value in plain.items() if name in ("WWW-Authenticate", "Retry-After", "Allow")
    }
    return problem(plain.status_code, detail, kept)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """What Django refuses before any view sees it: a problem for machines, a page for people."""
    if request.path.startswith(FOR_MACHINES):
        return problem(400, "The request is not one that this book can read.")
    return defaults.bad_request(request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The same for an address that leads nowhere."""
    if request.path.startswith(FOR_MACHINES):
        return problem(404, NOT_HERE)
    return defaults.page_not_found(request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """The same for an error of the book's own; the log has it."""
    if request.path.startswith(FOR_MACHINES):
        return problem(500, "Something went wrong here, and nothing was kept. Send it again later.")
    return defaults.server_error(request)
