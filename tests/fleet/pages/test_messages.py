"""The outbox and people's wishes: what the pages say, who sees them, and what a retry does."""

import time
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import JournalEntry, Message, MessageKind, Wishes
from sites.models import Person, Role
from tests import make
from tests.addresses import ONLY_POSTED

pytestmark = pytest.mark.django_db


@pytest.fixture
def addresses() -> dict[str, str]:
    message = make.message()
    return {
        "messages": reverse("messages"),
        "message": reverse("message", args=[message.pk]),
        "message-again": reverse("message-again", args=[message.pk]),
        "wishes": reverse("wishes", args=[make.reader().pk]),
    }


def ask(client: Client, name: str, address: str) -> int:
    return (client.post(address) if name in ONLY_POSTED else client.get(address)).status_code


def page(client: Client, name: str, *args: object) -> str:
    return client.get(reverse(name, args=args)).content.decode()


@pytest.mark.parametrize("role", [Role.OWNER, Role.OFFICE])
def test_the_owner_and_the_office_open_them(client, addresses, role):
    client.force_login(make.person(role=role))

    assert {name: ask(client, name, address) for name, address in addresses.items()} == {
        "messages": 200,
        "message": 200,
        "message-again": 302,
        "wishes": 200,
    }


@pytest.mark.parametrize("who", ["technician", "partner", "leaver"])
def test_for_others_they_do_not_exist(client, addresses, who):
    people = {
        "technician": lambda: make.person(role=Role.TECHNICIAN),
        "partner": make.subcontractor,
        "leaver": lambda: make.person(role=Role.OWNER, access_ends_on="2020-01-01"),
    }
    client.force_login(people[who]())

    assert {ask(client, name, address) for name, address in addresses.items()} == {404}


def test_nobody_opens_them_without_signing_in(client, addresses):
    assert {ask(client, name, address) for name, address in addresses.items()} == {302}


@pytest.mark.parametrize(
    ("states", "line"),
    [
        ([], "Nobody was told anything yet."),
        (["sent"], "Every message has gone out."),
        (["sent", "waiting"], "One message waits to go out."),
        (["failed", "waiting", "waiting"], "One message could not be sent, and 2 messages wait to go out."),
    ],
)
def test_the_first_line_says_whether_all_has_gone_out(as_owner, states, line):
    now = timezone.now()
    for state in states:
        make.message(sent_at=now if state == "sent" else None, given_up_at=now if state == "failed" else None)

    assert line in page(as_owner, "messages")


def test_a_message_that_was_given_up_long_ago_is_no_news(as_owner):
    make.message(given_up_at=timezone.now() - timedelta(days=30))

    assert "Every message has gone out." in page(as_owner, "messages")


def test_somebody_whom_nothing_can_reach_is_pointed_out(as_owner):
    assert "nothing can reach them" in page(as_owner, "messages")


def test_a_message_reads_in_its_own_language_and_direction(as_owner):
    row = make.message(language="ar", body="لا يوجد جهاز احتياطي\n")

    html = page(as_owner, "message", row.pk)

    assert '<pre lang="ar" dir="auto">لا يوجد جهاز احتياطي' in html


def test_a_retry_puts_it_in_line_and_says_who_did(as_owner):
    row = make.message(given_up_at=make.NOW, tries=50)

    as_owner.post(reverse("message-again", args=[row.pk]))

    row.refresh_from_db()
    assert (row.state, row.tries) == ("waiting", 0)
    assert JournalEntry.objects.get(what="message put back in line").who == "Orla Hentsch"


def test_a_technician_says_what_they_want_to_be_told(client, technician):
    client.force_login(technician)
    told = {"morning_list": "on", "language": "el", "time_zone": "Europe/Athens"}

    answer = client.post(reverse("wishes", args=[technician.pk]), told)

    assert answer.url == reverse("board")
    wishes = Wishes.objects.get(person=technician)
    assert (wishes.morning_list, wishes.urgent, wishes.language) == (True, False, "el")
    assert JournalEntry.objects.get(what="wishes written down").details["told"] == ["morning_list"]


def test_the_owner_says_it_for_somebody_else(as_owner, technician):
    told = {"urgent": "on", "language": "nl", "time_zone": "UTC"}

    answer = as_owner.post(reverse("wishes", args=[technician.pk]), told)

    assert answer.url == reverse("messages")
    assert Wishes.objects.get(person=technician).urgent


def test_a_clock_that_is_no_place_is_refused_and_nothing_is_written(as_owner, owner):
    html = as_owner.post(reverse("wishes", args=[owner.pk]), {"language": "en", "time_zone": "+01:00"})

    assert "Nothing was written yet." in html.content.decode()
    assert not Wishes.objects.exists()


@pytest.mark.parametrize(("role", "there"), [(Role.OWNER, True), (Role.TECHNICIAN, False)])
def test_the_list_of_pages_names_messages_only_to_those_who_open_it(client, role, there):
    client.force_login(make.person(role=role))

    assert (f'href="{reverse("messages")}"' in page(client, "journal")) is there


def test_every_page_leads_a_reader_to_their_own_wishes(client, technician):
    client.force_login(technician)

    assert f'href="{reverse("wishes", args=[technician.pk])}"' in page(client, "board")


@pytest.mark.parametrize("messages", [1, 20])
def test_the_list_takes_six_statements(as_owner, django_assert_num_queries, messages):
    for _ in range(messages):
        make.message()
        make.reader()

    with django_assert_num_queries(
        6
    ):  # session, person; counts; number of rows, rows; people with their wishes
        page(as_owner, "messages")


@pytest.mark.django_db(transaction=True)
def test_the_board_tells_that_rounds_have_stopped_though_no_job_is_alive(client):
    owner: Person = make.reader(role=Role.OWNER)
    client.force_login(owner)
    make.mesh()
    make.round_(started_at=timezone.now() - timedelta(hours=27))

    page(client, "board")

    until = time.monotonic() + 10
    while not mail.outbox and time.monotonic() < until:
        time.sleep(0.05)
    assert [sent.to for sent in mail.outbox] == [[owner.email]]
    assert Message.objects.get().kind == MessageKind.STOPPED
    page(client, "board")
    assert Message.objects.count() == 1
