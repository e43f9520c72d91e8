"""A list of install codes: all of it or none, with a reason for each line that cannot be right."""

import pytest

from fleet.models import InstallCode, JournalEntry, Mesh
from fleet.verbs.enter_codes import Line, Told, enter_all
from tests import codes, make

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(code="KELP-7-A", site=make.site(code="KELP-7"))


def lines(*pairs: tuple[str, str]) -> list[Line]:
    return [Line(number, address, code) for number, (address, code) in enumerate(pairs, 1)]


def entered(mesh: Mesh, *pairs: tuple[str, str], dry_run: bool = False) -> list[Told]:
    return enter_all(mesh, lines(*pairs), "Noor", make.NOW, dry_run)


def test_every_line_is_entered(mesh):
    nodes = [make.node(mesh) for _ in range(3)]

    told = entered(mesh, *[(node.extended_address, codes.printed(node.extended_address)) for node in nodes])

    assert [each.outcome for each in told] == ["entered"] * 3
    assert InstallCode.objects.count() == JournalEntry.objects.count() == 3


def test_a_dry_run_says_what_would_be_and_writes_nothing(mesh):
    held, new = make.node(mesh).extended_address, make.node(mesh).extended_address
    entered(mesh, (held, codes.printed()))

    told = entered(mesh, (held, codes.printed("two")), (new, codes.printed("three")), dry_run=True)

    assert [each.outcome for each in told] == ["can be replaced", "can be entered"]
    assert InstallCode.objects.count() == JournalEntry.objects.count() == 1


def test_one_wrong_line_and_nothing_is_written(mesh):
    right, wrong = make.node(mesh).extended_address, make.node(mesh).extended_address

    told = entered(mesh, (right, codes.printed()), (wrong, codes.printed("two")[:-5]))

    assert [each.ok for each in told] == [True, False]
    assert told[0].outcome == "can be entered"
    assert "check digits are missing" in told[1].outcome
    assert not InstallCode.objects.exists()
    assert not JournalEntry.objects.exists()


def test_a_device_of_another_mesh_is_refused(mesh):
    (told,) = entered(mesh, (make.node(make.mesh()).extended_address, codes.printed()))

    assert (told.ok, told.outcome) == (False, "KELP-7-A has no such device.")


def test_a_device_that_stands_there_twice_is_refused(mesh):
    address = make.node(mesh).extended_address

    told = entered(mesh, (address, codes.printed()), (address.lower(), codes.printed("two")))

    assert (told[1].ok, told[1].outcome) == (False, "The device stands in line 1 already.")


def test_swapped_columns_are_refused_without_a_digit_of_the_code(mesh):
    (told,) = entered(mesh, (codes.printed(), make.node(mesh).extended_address))

    assert not told.ok
    assert codes.found_in(repr(told)) == []


def test_one_code_for_two_devices_is_doubted_and_both_are_named(mesh):
    first, second = make.node(mesh).extended_address, make.node(mesh).extended_address

    told = entered(mesh, (first, codes.printed()), (second, codes.printed()))

    assert [each.ok for each in told] == [True, True]
    assert told[1].doubt == f"KELP-7-A {first} holds the same code"


def test_a_list_that_was_entered_already_changes_nothing(mesh):
    pair = (make.node(mesh).extended_address, codes.printed())
    entered(mesh, pair)

    assert [each.outcome for each in entered(mesh, pair)] == ["was here before"]
    assert JournalEntry.objects.count() == 1


def test_a_line_has_no_code_in_its_own_text():
    assert codes.found_in(repr(lines(("02A4C138F00D0011", codes.printed())))) == []
