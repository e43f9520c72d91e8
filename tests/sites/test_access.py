"""Which homes are open to whom, and until when."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from sites import access
from sites.models import Role
from tests import make

pytestmark = pytest.mark.django_db
TODAY = date(2027, 3, 26)


@pytest.mark.parametrize("role", [Role.OWNER, Role.OFFICE, Role.TECHNICIAN])
def test_people_of_the_firm_see_every_home(role):
    homes = {make.site(), make.site()}
    assert set(access.sites_for(make.person(role=role), TODAY)) == homes


def test_a_subcontractor_sees_only_the_homes_they_are_named_for():
    mine, _other = make.site(), make.site()
    assert list(access.sites_for(make.subcontractor(mine), TODAY)) == [mine]


def test_a_subcontractor_still_sees_the_home_on_the_last_day():
    mine = make.site()
    partner = make.subcontractor(mine, access_ends_on=TODAY)
    assert list(access.sites_for(partner, TODAY)) == [mine]


def test_a_subcontractor_sees_nothing_after_the_last_day():
    partner = make.subcontractor(make.site(), access_ends_on=date(2027, 3, 25))
    assert not access.sites_for(partner, TODAY).exists()


def test_access_that_ended_is_closed_to_people_of_the_firm_too():
    make.site()
    leaver = make.person(role=Role.OWNER, access_ends_on=date(2027, 3, 25))
    assert not access.sites_for(leaver, TODAY).exists()


def test_a_home_of_others_is_not_found():
    other = make.site()
    with pytest.raises(Http404):
        access.site_for(make.subcontractor(make.site()), other.code, TODAY)


def test_a_subcontractor_may_read_but_not_change_their_home():
    mine = make.site()
    with pytest.raises(PermissionDenied):
        access.site_to_change(make.subcontractor(mine), mine.code, TODAY)


def test_a_home_of_others_is_not_found_rather_than_forbidden_to_change():
    other = make.site()
    with pytest.raises(Http404):
        access.site_to_change(make.subcontractor(make.site()), other.code, TODAY)


def test_a_subcontractor_sees_only_clients_with_a_home_that_is_open():
    mine = make.site()
    make.client()
    assert list(access.clients_for(make.subcontractor(mine), TODAY)) == [mine.client]
