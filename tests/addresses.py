"""The program's own list of pages, so that a test over all of them forgets none."""

from django.urls import URLPattern, URLResolver, get_resolver

OPEN_TO_ALL = {"sign-in", "sign-out"}
FOR_MACHINES = {"push"}
ONLY_POSTED = {
    "contact-strike",
    "handover-issue",
    "recovery-issue",
    "sign-out",
    "snapshot-upload",
    "token-end",
    "token-make",
}
FILES = {"sheet-file"}


def names(patterns: list[URLPattern | URLResolver] | None = None) -> set[str]:
    """The names of all addresses but the back door's own."""
    found: set[str] = set()
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            found |= set() if pattern.namespace == "admin" else names(pattern.url_patterns)
        elif pattern.name:
            found.add(pattern.name)
    return found


def pages() -> set[str]:
    """The names of what a person opens in a browser and reads."""
    return names() - FOR_MACHINES - ONLY_POSTED - FILES
