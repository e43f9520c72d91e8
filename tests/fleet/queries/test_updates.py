"""Which radios are due for another build."""

from datetime import timedelta

import pytest

from fleet.models import PassageState, RadioState
from fleet.queries.updates import due
from tests import make

pytestmark = pytest.mark.django_db
TODAY = make.NOW.date()


def head(build, **mesh):
    network = make.mesh(**mesh)
    radio = make.radio(state=RadioState.ON_AIR, firmware=build, carried_address=network.head_address)
    make.service(network, radio)
    return radio


def test_the_open_ring_is_due_and_homes_with_safety_devices_last():
    build = make.release()
    guarded, plain, spare = head(build, safety_relevant=True), head(build), make.spare(firmware=build)
    passage = make.passage(guarded, plain, spare)
    make.passage_ring(passage, head(build), kind="rest", opened_at=None)

    found = due(TODAY)

    assert [each.radio for each in found] == [plain, spare, guarded]
    assert (found[0].mesh, found[0].site) == (plain.periods.get().mesh, plain.periods.get().mesh.site)
    assert (found[1].mesh, found[1].site) == (None, None)
    assert (found[0].source, found[0].target, found[0].due) == (build, passage.target, TODAY)


def test_a_spare_in_a_home_is_due_there():
    home = make.site()
    make.passage(make.spare(place=make.place_at(home)))

    (found,) = due(TODAY)

    assert (found.mesh, found.site) == (None, home)


@pytest.mark.parametrize("state", [PassageState.STOPPED, PassageState.GIVEN_UP, PassageState.DONE])
def test_nothing_of_a_passage_that_is_not_under_way_is_due(state):
    make.passage(make.spare(), state=state)

    assert due(TODAY) == ()


@pytest.mark.parametrize("policy", ["hold", "barred"])
def test_a_build_that_is_held_back_is_never_due(policy):
    passage = make.passage(make.spare())
    passage.target.policy = policy
    passage.target.save()

    assert due(TODAY) == ()


def test_what_is_done_or_gone_is_due_no_more():
    done, gone, left = make.spare(), make.spare(state=RadioState.SCRAPPED), make.spare()
    for radio in (gone, left):
        radio.firmware = done.firmware
        radio.save()
    passage = make.passage(done, gone, left)
    passage.rings.get().units.filter(radio=done).update(done_at=make.NOW)

    assert [each.radio for each in due(TODAY)] == [left]


def test_a_ring_that_opens_later_is_not_due_yet():
    make.passage(make.spare())

    assert due(TODAY - timedelta(days=1)) == ()


def test_the_statements_are_as_many_whatever_the_book(django_assert_num_queries):
    for count in (1, 9):
        build = make.release()
        make.passage(*(head(build) for _ in range(count)))
        with django_assert_num_queries(4):
            due(TODAY)
