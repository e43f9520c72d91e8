"""A mesh, its radio and a spare with which every one of the twelve items can be met."""

import io
from datetime import timedelta

import pytest
from PIL import Image

from fleet.models import How, Mesh, Resource, SecurityModes, Silencing
from fleet.planning.replacing.states import State
from fleet.verbs.intake import Origin, receive
from fleet.verbs.replacing.asking import Wish, ask, plan
from fleet.verbs.replacing.moving import Step, move
from tests import make
from tests.documents import document

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
MORNING = make.NOW.replace(hour=8) - DAY * make.NOW.weekday() + DAY * 7
"""A Monday at eight; the homes of these tests lie in UTC."""
SETTABLE = ("network_key", "key_sequence", "counter", "pan_id", "extended_pan_id", "power")


def good_release(model, version="7.2"):
    return make.release(
        model,
        version=version,
        stack_revision=22,
        security_modes=SecurityModes.BOTH,
        **{f"sets_{name}": True for name in SETTABLE},
    )


@pytest.fixture
def mesh():
    home = make.site(time_zone="UTC", way_in="Ring at the neighbour's, number 4")
    mesh = make.mesh(site=home, controller="box in the hall", connection_path="/dev/by-name/head")
    model = make.radio_model(channel_mask=0x07FFF800, max_power_dbm=20)
    for resource in Resource.values:
        make.limit(model, resource, 60)
    firmware = good_release(model)
    head = make.radio(state="on_air", firmware=firmware, carried_address=mesh.head_address, code="OLD-1")
    make.service(mesh, head)
    make.spare(firmware=firmware, code="NEW-1")
    make.drill(mesh, source_release=firmware, target_release=firmware)
    for day in range(5):
        taken_at = MORNING - HOUR - DAY * (4 - day)
        body = document(mesh, taken_at, outgoing_counter=10_000_000 + day * 259_200)
        receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    return Mesh.objects.select_related("site__client").get(pk=mesh.pk)


@pytest.fixture
def noor():
    noor = make.person(username="noor")
    make.licence(noor)
    return noor


@pytest.fixture
def swap(mesh, noor):
    """Asked for, with everything agreed that the twelve items ask for."""
    spare = mesh.periods.get().radio.firmware.radios.get(code="NEW-1")
    swap = ask(mesh, Wish("failed", "it drops devices", spare), "Orla", MORNING - DAY)
    agreed = {
        "technician": noor,
        "begins_at": MORNING + HOUR,
        "ends_at": MORNING + 3 * HOUR,
        "consent_by": "Ingunn",
        "way_back_read": True,
        "fall_backs_told": True,
    }
    return plan(swap, agreed, "Orla", MORNING - DAY)


def photo(size=(2400, 1800), form="JPEG"):
    out = io.BytesIO()
    Image.new("RGB", size, (90, 120, 60)).save(out, form)
    return out.getvalue()


def step_to(swap, to, now=MORNING, **given):
    """The next move as somebody who saw the state it is in."""
    if to is State.SILENCED or (to is State.BACKING_OUT and "silencing" in given):
        given = {"silencing": Silencing.UNPLUGGED, "photo": photo(), **given}
    return move(swap, Step(to, seen=swap.stands, by="Noor", **given), now)


def arrived(swap):
    for to in (State.AGREED, State.PACKED, State.ARRIVED):
        swap = step_to(swap, to)
    return swap
