"""A legal hold on a client: who may set it, what it needs, and that it shows."""

import pytest
from django.db import IntegrityError, transaction

from sites.models import Client, Role
from tests import make

pytestmark = pytest.mark.django_db


def test_the_office_sets_a_hold_and_the_client_page_shows_it(client):
    row = make.client()
    client.force_login(make.person(role=Role.OFFICE))

    page = client.post(
        f"/clients/{row.uid}/hold/",
        {"held_since": "2027-01-04", "hold_reason": "court order 12"},
        follow=True,
    ).content.decode()

    assert "Legal hold since 4 Jan 2027" in page
    assert "court order 12" in page


def test_two_empty_fields_lift_it(as_owner):
    row = make.client(held_since="2027-01-04", hold_reason="court order 12")

    as_owner.post(f"/clients/{row.uid}/hold/", {"held_since": "", "hold_reason": ""})

    row.refresh_from_db()
    assert (row.held_since, row.hold_reason) == (None, "")


@pytest.mark.parametrize("half", [{"held_since": "2027-01-04"}, {"hold_reason": "court order 12"}])
def test_half_a_hold_is_none(as_owner, half):
    row = make.client()

    page = as_owner.post(f"/clients/{row.uid}/hold/", {"held_since": "", "hold_reason": "", **half}).content

    assert b"A legal hold needs a day and a reason" in page
    with pytest.raises(IntegrityError), transaction.atomic():
        Client.objects.filter(pk=row.pk).update(**half)


def test_a_technician_sets_no_hold(client, technician):
    client.force_login(technician)

    assert client.get(f"/clients/{make.client().uid}/hold/").status_code == 403
