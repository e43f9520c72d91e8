"""The two jobs that tell: what they do when the schedule calls them."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.core import mail
from django.utils import timezone

from fleet.models import Delivery, JournalEntry
from fleet.planning.journal_chain import Head
from fleet.planning.reaching import networks
from fleet.planning.readiness import State
from fleet.queries.journal_chain import check
from fleet.tasks import chain_journal, deliver_events, tell_and_send
from fleet.verbs import journal, receivers
from tests import make
from tests.fleet.verbs.receiving import listening

pytestmark = pytest.mark.django_db


def test_urgent_messages_go_out_at_once():
    make.reader(morning_list=False)
    make.mesh(readiness=State.BARE, readiness_gate="spare", safety_relevant=True)
    make.round_(started_at=timezone.now() - timedelta(minutes=10))

    tell_and_send()
    tell_and_send()

    assert [sent.subject.partition(":")[0] for sent in mail.outbox] == ["Urgent"]


def test_events_and_the_sign_of_life_go_out(settings):
    settings.EVENTS_MAY_REACH = networks(["127.0.0.1/32"])
    with listening() as there:
        settings.SIGN_OF_LIFE = f"http://127.0.0.1:{there.port}/alive"
        receivers.add("calendar", there.address, [], "Orla", timezone.now())
        journal.record("schedule", "round done", "", timezone.now(), meshes=1, errors=0)
        make.round_(started_at=timezone.now() - timedelta(minutes=10))

        deliver_events()
        deliver_events()

        assert [request.path for request in there.heard] == ["/events", "/alive"]
    assert Delivery.objects.get().state == "taken"


def test_they_are_in_the_schedule():
    assert {entry["task"] for entry in settings.CELERY_BEAT_SCHEDULE.values()} >= {
        "fleet.tasks.tell_and_send",
        "fleet.tasks.deliver_events",
        "fleet.tasks.chain_journal",
    }


def test_what_was_written_is_chained():
    make.journal_line()
    chain_journal()
    chain_journal()
    assert check() == (Head(1, JournalEntry.objects.get().digest), None)
