"""One code on two devices: found by its mark, wherever the other device is."""

import pytest

from fleet.mesh.addresses import show_eui64
from fleet.models import Finding, Mesh
from fleet.queries.install_codes import Shared, shared_in
from fleet.queries.spares import SpareShelf
from fleet.verbs.assess import assess
from fleet.verbs.install_codes import enter
from tests import codes, make

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(site=make.site(code="KELP-7"))


@pytest.fixture
def elsewhere() -> Mesh:
    return make.mesh(site=make.site(code="FERN-2"))


def coded(mesh: Mesh, name: str = "one", **given) -> str:
    node = make.node(mesh, **given)
    enter(node, codes.printed(name), "Noor", make.NOW)
    return node.extended_address


def test_a_code_on_devices_of_two_clients_is_found_from_both_sides(mesh, elsewhere):
    here, there = coded(mesh), coded(elsewhere)

    assert shared_in(mesh) == (Shared(here, "FERN-2-A", there),)
    assert shared_in(elsewhere) == (Shared(there, "KELP-7-A", here),)


def test_two_devices_of_one_mesh_that_share_a_code_stand_there_once(mesh):
    first, second = sorted([coded(mesh), coded(mesh)])

    assert shared_in(mesh) == (Shared(first, "KELP-7-A", second),)


def test_every_one_of_three_is_named(mesh):
    addresses = {coded(mesh) for _ in range(3)}

    found = shared_in(mesh)

    assert {pair.address for pair in found} | {pair.other_address for pair in found} == addresses


def test_different_codes_are_no_finding(mesh):
    coded(mesh, "one")
    coded(mesh, "two")

    assert shared_in(mesh) == ()


def test_a_device_that_moved_to_another_mesh_keeps_its_code(mesh, elsewhere):
    address = coded(mesh, gone_since=make.NOW)
    coded(elsewhere, extended_address=address)

    assert shared_in(mesh) == shared_in(elsewhere) == ()


def test_the_round_notes_a_shared_code_on_the_mesh(mesh, elsewhere):
    here, there = coded(mesh), coded(elsewhere)

    assess(mesh, SpareShelf.load(), make.NOW)

    found = Finding.objects.get(mesh=mesh, code="install_code_shared")
    assert f"{show_eui64(here)} and FERN-2-A {show_eui64(there)}" in found.message
    assert codes.found_in(repr(vars(found))) == []


def test_a_code_that_is_put_right_ends_the_finding(mesh, elsewhere):
    coded(mesh)
    coded(elsewhere)
    assess(mesh, SpareShelf.load(), make.NOW)
    enter(elsewhere.nodes.get(), codes.printed("two"), "Noor", make.NOW)

    assess(mesh, SpareShelf.load(), make.NOW)

    assert not Finding.objects.filter(code="install_code_shared").exists()
