"""What a job sheet says of the way back, by what the open replacement knows of the old radio."""
# ruff: noqa: F811 - the home and its spare are those of the other tests of this sheet

import pytest

from fleet.models import Silencing
from fleet.models import Why as Reason
from fleet.planning.phrases.swap import Swap
from fleet.planning.replacing.preflight import Item, Met
from fleet.planning.replacing.states import State
from reports.facts.job import Way
from tests import make
from tests.reports.test_job_sheet import checked, facts, mesh, said, spare  # noqa: F401 - fixtures among them

pytestmark = pytest.mark.django_db


def test_a_way_back_that_nobody_read_is_not_met(mesh, spare):
    assert checked(facts(mesh, spare), Item.WAY_BACK).met is Met.NO

    swap = make.replacement(mesh, new_radio=spare, why=Reason.UPGRADE)
    item = checked(facts(mesh, spare), Item.WAY_BACK)
    assert (item.met, item.why) == (Met.NO, Swap.WAY_BACK_UNJUDGED.of())

    swap.way_back_read = True
    swap.save()
    item = checked(facts(mesh, spare), Item.WAY_BACK)
    assert (item.met, item.why) == (Met.YES, Swap.WAY_BACK_JUDGED.of())


def test_what_somebody_read_for_another_radio_does_not_count(mesh, spare):
    make.replacement(mesh, way_back_read=True, why=Reason.UPGRADE)

    assert checked(facts(mesh, spare), Item.WAY_BACK).met is Met.NO


def test_a_stolen_radio_has_no_way_back(mesh, spare):
    make.replacement(mesh, new_radio=spare, why=Reason.THEFT)

    assert facts(mesh, spare).way_back.way is Way.OUT_OF_REACH
    printed = said(mesh, spare)
    assert "nowayback,theoldradioisoutofreach" in printed
    assert "Canitbebackedout?NO:theoldradioisoutofreach,lostorstolen" in printed


def test_a_radio_that_failed_has_a_way_back_only_if_it_still_takes_power(mesh, spare):
    make.replacement(mesh, new_radio=spare, why=Reason.FAILED)

    found = facts(mesh, spare).way_back
    assert (found.way, found.failed) == (Way.WRITE, True)
    printed = said(mesh, spare)
    assert "thereisawayback,withanewnumber,iftheoldradiostilltakespower" in printed
    assert "YES:onlyifitstilltakespower" in printed


@pytest.mark.parametrize(("how", "way"), [(Silencing.DEAD, Way.NO_POWER), (Silencing.GONE, Way.OUT_OF_REACH)])
def test_a_radio_that_was_found_dead_or_gone_has_no_way_back(mesh, spare, how, way):
    make.silence(make.replacement(mesh, new_radio=spare, why=Reason.UPGRADE), how=how)

    assert facts(mesh, spare).way_back.way is way


def test_an_ended_replacement_says_nothing_of_the_old_radio(mesh, spare):
    make.replacement(mesh, new_radio=spare, why=Reason.THEFT, state=State.DROPPED)

    assert facts(mesh, spare).way_back.way is Way.WRITE
