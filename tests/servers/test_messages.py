"""Messages and events with several writers and senders at once on PostgreSQL, and with one that is killed."""

import asyncio
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from fleet.config.mail_address import SMTP
from fleet.models import Delivery, Event, Message
from fleet.planning.reaching import networks
from fleet.planning.readiness import State
from fleet.verbs import deliver, journal, receivers
from fleet.verbs.send import send_due
from fleet.verbs.tell import tell
from tests import make
from tests.fleet.verbs.receiving import Listening, listening
from tests.fleet.verbs.receiving_mail import Mailbox, mailbox

pytestmark = pytest.mark.django_db(transaction=True)

PATIENCE_SECONDS = 60


@pytest.fixture
def server(settings) -> Iterator[Mailbox]:
    with mailbox() as found:
        settings.EMAIL_BACKEND = SMTP
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", found.port
        yield found


@pytest.fixture
def receiver(settings) -> Iterator[Listening]:
    settings.EVENTS_MAY_REACH = networks(["127.0.0.1/32"])
    with listening() as found:
        receivers.add("calendar", found.address, [], "Orla", timezone.now())
        yield found


def database_address() -> str:
    told = connection.settings_dict
    return f"postgresql://{told['USER']}@{told['HOST']}:{told['PORT'] or 5432}/{told['NAME']}"


def all_at_once(work: Callable[[], object], times: int = 8) -> None:
    together = threading.Barrier(times)

    def one() -> None:
        together.wait()
        try:
            work()
        finally:
            connection.close()

    threads = [threading.Thread(target=one) for _ in range(times)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_eight_writers_at_once_write_each_message_once():
    now = make.NOW.replace(hour=9)
    make.round_(started_at=now - timedelta(minutes=30))
    for _ in range(3):
        make.reader()
    for _ in range(30):
        make.mesh(readiness=State.BARE, readiness_gate="spare", safety_relevant=True)

    all_at_once(lambda: tell(now))

    assert Message.objects.count() == 6  # a list and an urgent message for each of three readers


def test_eight_senders_at_once_send_each_message_once(server):
    for _ in range(40):
        make.message()

    all_at_once(lambda: send_due(lambda: make.NOW))

    marks = [got["Message-ID"] for got in server.mails]
    assert (len(marks), len(set(marks))) == (40, 40)
    assert not Message.objects.filter(sent_at=None).exists()


def test_eight_deliverers_at_once_deliver_each_event_once_and_in_order(receiver):
    now = timezone.now()
    for number in range(60):
        journal.record(
            "c", "snapshot taken in", f"HOME-{number % 6}-A", now, snapshot=str(number), grade="sound"
        )

    all_at_once(lambda: (deliver.gather(now), deliver.deliver_due(timezone.now)))

    assert Event.objects.count() == 60
    assert [row.state for row in Delivery.objects.all()] == ["taken"] * 60
    marks = [request.mark for request in receiver.heard]
    assert (len(marks), len(set(marks))) == (60, 60)
    order = {str(row.uid): row.pk for row in Event.objects.all()}
    for home in range(6):
        told = [order[each.mark] for each in receiver.heard if f"HOME-{home}-A".encode() in each.body]
        assert told == sorted(told)


def test_a_sender_that_is_killed_at_the_mail_servers_door_loses_nothing_and_sends_once(
    server, settings, tmp_path
):
    """kill -9 while the mail server has the letter in hand and has not answered."""
    message = make.message(due_at=timezone.now() - timedelta(minutes=1))
    asked, go_on = threading.Event(), threading.Event()

    async def slow(smtp, session, envelope, address, options):
        asked.set()
        while not go_on.is_set():
            await asyncio.sleep(0.05)
        envelope.rcpt_tos.append(address)
        return "250 ok"

    server.handle_RCPT = slow
    told = {
        **os.environ,
        "SPAREBOOK_DATABASE": database_address(),
        "SPAREBOOK_HOME": str(tmp_path / "home"),
        "SPAREBOOK_MAIL": f"smtp://{settings.EMAIL_HOST}:{settings.EMAIL_PORT}",
    }
    process = subprocess.Popen([sys.executable, "manage.py", "messages", "send"], env=told)
    assert asked.wait(PATIENCE_SECONDS)
    process.send_signal(signal.SIGKILL)
    process.wait(PATIENCE_SECONDS)
    go_on.set()
    time.sleep(0.2)

    message.refresh_from_db()
    assert (message.state, message.tries) == ("waiting", 1)
    assert message.held_until is not None
    send_due(lambda: message.held_until + timedelta(seconds=1))
    assert [got["Message-ID"].split("@")[0] for got in server.mails] == [f"<{message.uid}"]
