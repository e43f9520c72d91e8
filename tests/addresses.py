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
FOR_MACHINES = {"calendar-feed", "push"}
FOR_THE_OFFICE = {
    "delivery-again",
    "events",
    "message",
    "message-again",
    "messages",
    "month-issue",
    "months",
    "person-base",
    "person-hours",
    "person-licence",
    "person-licence-strike",
    "person-off",
    "person-off-strike",
    "person-skills",
    "receiver-act",
    "receiver-new",
    "storm",
    "storm-answer",
    "travel",
    "travel-end",
    "travel-use",
    "what-if",
    "what-if-answer",
}
ONES_OWN = {"calendar-end", "calendar-make", "person", "wishes"}
ONLY_POSTED = {
    "air-nothing",
    "air-strike",
    "calendar-end",
    "calendar-make",
    "code-enter",
    "code-forget",
    "code-show",
    "contact-strike",
    "copy-keep",
    "delivery-again",
    "drill-draw",
    "drill-end",
    "drill-record",
    "drill-step",
    "drill-write",
    "erasure-certificate",
    "evidence-issue",
    "failure-claim",
    "failure-dead",
    "firmware-begin",
    "firmware-enter",
    "firmware-numbering",
    "firmware-order",
    "firmware-policy",
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
    "next-swaps-anew",
    "next-swaps-ask",
    "next-swaps-support",
    "papers-anew",
    "passage-act",
    "passage-unit",
    "person-base",
    "person-hours",
    "person-licence",
    "person-licence-strike",
    "person-off",
    "person-off-strike",
    "person-skills",
    "pin-end",
    "plan-enough",
    "plan-move",
    "plan-use",
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
    "travel-end",
    "travel-use",
    "tray-clear",
    "tray-guide",
    "tray-send",
    "visit-end",
    "visit-forecast",
    "visit-hold",
    "visit-pin",
    "visit-waive",
    "visit-want",
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
