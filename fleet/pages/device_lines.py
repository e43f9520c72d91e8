"""The first lines of the pages about devices. A name that people gave carries its own direction."""

from datetime import datetime

from django.utils.html import format_html
from django.utils.safestring import SafeString

from fleet.mesh.addresses import show_eui64
from fleet.models import Node
from fleet.pages.writing import age_at
from fleet.snapshots.hearing import Heard


def of_list(code: str, nodes: list[Node]) -> str:
    """How many devices a mesh has, and how many of them matter most."""
    if not nodes:
        return f"No device of {code} is on record yet."
    guards = sum(bool(node.safety_kind) for node in nodes)
    have = "one device" if len(nodes) == 1 else f"{len(nodes)} devices"
    guarding = f"{guards} guard{'s' if guards == 1 else ''} people or the house"
    return f"{code} has {have}; {guarding if guards else 'none is said to guard people or the house'}."


def of_device(node: Node, heard: Heard, now: datetime) -> SafeString:
    """What a device is, and whether it was heard as far as the newest sound copy of its mesh can tell."""
    who, copy = _who(node), node.mesh.newest_sound_at
    if node.gone_since is not None:
        return format_html("{} is no longer listed by its mesh.", who)
    if heard is Heard.HEARD:
        return format_html("{} was heard in time, says the copy of {} ago.", who, age_at(copy, now))
    if heard is Heard.SILENT:
        silence = age_at(node.last_heard, copy)
        return format_html(
            "{} had been silent for {}, says the copy of {} ago.", who, silence, age_at(copy, now)
        )
    if copy is None:
        why = "there is no sound copy of its mesh"
    elif node.last_heard is None:
        why = "no copy says when it was last heard"
    else:
        why = f"the newest sound copy is {age_at(copy, now)} old"
    return format_html("Nobody knows whether {} is heard: {}.", who, why)


def of_code(node: Node) -> SafeString:
    """Whose install code stands on the page."""
    return format_html("This is the install code of <bdi>{}</bdi>.", name_of(node))


def name_of(node: Node) -> str:
    """What people call a device, or its address."""
    return node.label or show_eui64(node.extended_address)


def _who(node: Node) -> SafeString:
    what = node.kind or node.get_safety_kind_display() or node.get_role_display() or "device"
    if what.casefold() in name_of(node).casefold():
        return format_html("<bdi>{}</bdi>", name_of(node))
    return format_html("<bdi>{}</bdi> (<bdi>{}</bdi>)", name_of(node), what)
