"""A page for addresses that only take what a form sends, where somebody opens one by hand or by an old link."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import Resolver404, resolve

MACHINES = "/api/"


class MethodPageMiddleware:
    """Puts words and a way back into the bare answer 405. Machines keep theirs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if response.status_code != 405 or request.method != "GET" or request.path.startswith(MACHINES):
            return response
        page = render(request, "405.html", {"above": _above(request.path)}, status=405)
        page.headers["Allow"] = response.headers["Allow"]
        return page


def _above(path: str) -> str:
    """The nearest address above this one that means something; the board's in the end."""
    parts = path.strip("/").split("/")
    for count in range(len(parts) - 1, 0, -1):
        above = f"/{'/'.join(parts[:count])}/"
        try:
            resolve(above)
        except Resolver404:
            continue
        return above
    return "/"
