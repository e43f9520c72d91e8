"""The program's own list of pages, so that a test over all of them forgets none."""

from django.urls import URLPattern, URLResolver, get_resolver

OPEN_TO_ALL = {
    "hand",
    "hand-file",
    "hand-sign",
    "hand-slip",
    "paper-check",
    "paper-verify",
    "sign-in",
    "sign-out",
}
FOR_MACHINES = {"push"}
FOR_THE_OFFICE = {
    "delivery-again",
    "events",
    "message",
    "message-again",
    "messages",
    "month-issue",
    "months",
    "receiver-act",
    "receiver-new",
    "what-if",
    "what-if-answer",
}
ONES_OWN = {"wishes"}
ONLY_POSTED = {
    "air-nothing",
    "air-strike",
    "code-enter",
    "code-forget",
    "code-show",
    "contact-strike",
    "copy-keep",
    "delivery-again",
    "drill-record",
    "erasure-certificate",
    "evidence-issue",
    "hand-file",
    "hand-sign",
    "hand-slip",
    "handover-issue",
    "keep-all",
    "leaving-tick",
    "link-end",
    "mesh-hold",
    "message-again",
    "month-issue",
    "papers-anew",
    "pin-end",
    "radio-blank",
    "radio-firmware",
    "radio-move",
    "radio-state",
    "radio-where",
    "receiver-act",
    "recovery-issue",
    "replacement-step",
    "replacement-tick",
    "replacement-write",
    "round-start",
    "round-stop",
    "sheet-hung",
    "sheet-link",
    "sheet-mail",
    "sign-out",
    "snapshot-upload",
    "token-end",
    "token-make",
    "tray-clear",
    "tray-guide",
    "tray-send",
}
FILES = {"sheet-file", "sheet-slip", "replacement-photo"}


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
