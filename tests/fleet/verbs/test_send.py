"""Mail goes out once, as far as SMTP allows, through a real mail server."""

import email
from collections.abc import Iterator
from datetime import datetime, timedelta
from email import policy

import pytest
from django.core import mail

from fleet.config.mail_address import SMTP
from fleet.models import JournalEntry, Message
from fleet.verbs import send
from fleet.verbs.send import CLAIM, MOST_TRIES, Sent, send_due, try_again
from tests import make
from tests.fleet.verbs.receiving_mail import Mailbox, mailbox

pytestmark = pytest.mark.django_db

NOW = make.NOW
HOUR = timedelta(hours=1)


class PowerCut(BaseException):
    """A process that dies where it stands."""


@pytest.fixture
def server(settings) -> Iterator[Mailbox]:
    with mailbox() as found:
        settings.EMAIL_BACKEND = SMTP
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", found.port
        yield found


def at(moment: datetime):
    return lambda: moment


def test_a_message_arrives_as_it_was_written(server, settings):
    settings.DEFAULT_FROM_EMAIL = "Hollin & Weir <book@hollinweir.example>"
    message = make.message(
        subject="Sparebook：備えが手薄な家が1軒あります。", body="備えが手薄\n", language="ja"
    )

    assert send_due(at(NOW)) == Sent(1, 0)

    (got,) = server.mails
    assert got["Subject"].strip() == message.subject
    assert got.get_content().replace("\r\n", "\n") == message.body
    assert got["To"] == message.address
    assert got["Message-ID"] == f"<{message.uid}@hollinweir.example>"
    message.refresh_from_db()
    assert (message.state, message.tries) == ("sent", 1)


def test_a_sent_message_is_not_sent_again():
    make.message()
    send_due(at(NOW))

    assert send_due(at(NOW + HOUR)) == Sent(0, 0)
    assert len(mail.outbox) == 1


def test_what_is_not_due_yet_waits():
    make.message(due_at=NOW + HOUR)

    assert send_due(at(NOW)) == Sent(0, 0)


def test_a_refusal_is_tried_again_later_and_longer_and_longer_apart(server):
    message = make.message()
    server.answer = "451 try again later"

    waits = []
    now = NOW
    for _ in range(4):
        assert send_due(at(now)) == Sent(0, 1)
        message.refresh_from_db()
        waits.append(message.due_at - now)
        now = message.due_at

    assert waits == sorted(waits)
    server.answer = "250 taken"
    assert send_due(at(now)) == Sent(1, 0)
    assert len(server.mails) == 1


def test_one_refused_message_does_not_hold_up_the_next(server):
    refused, other = make.message(address="no@firm.example"), make.message()

    async def handle_rcpt(server_, session, envelope, address, options):
        if address == refused.address:
            return "550 nobody of that name"
        envelope.rcpt_tos.append(address)
        return "250 ok"

    server.handle_RCPT = handle_rcpt

    assert send_due(at(NOW)) == Sent(1, 1)
    other.refresh_from_db()
    refused.refresh_from_db()
    assert (other.state, refused.state) == ("sent", "waiting")
    assert refused.last_error == "The mail server did not take it: SMTPRecipientsRefused"


def test_a_server_that_is_not_there_costs_one_try_for_all(settings):
    settings.EMAIL_BACKEND = SMTP
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    first, second = make.message(), make.message()

    assert send_due(at(NOW)) == Sent(0, 1)

    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.tries, second.tries) == (1, 0)
    assert "ConnectionRefusedError" in first.last_error


def test_after_two_days_of_tries_it_is_given_up_and_a_person_may_send_it(server):
    server.answer = "550 never"
    message = make.message(tries=MOST_TRIES - 1)
    send_due(at(NOW))
    message.refresh_from_db()
    assert message.state == "failed"

    server.answer = "250 taken"
    try_again(message, "Orla", NOW + HOUR)

    assert send_due(at(NOW + HOUR)) == Sent(1, 0)
    assert JournalEntry.objects.filter(what="message put back in line").count() == 1


def test_a_sent_message_cannot_be_put_back_in_line():
    message = make.message(sent_at=NOW)

    try_again(message, "Orla", NOW)

    assert send_due(at(NOW)) == Sent(0, 0)


def test_a_sender_killed_before_the_server_answered_loses_nothing(server, monkeypatch):
    message = make.message()
    cut = monkeypatch.context()
    with cut as broken:
        broken.setattr(send, "_mail", lambda message: (_ for _ in ()).throw(PowerCut))
        with pytest.raises(PowerCut):
            send_due(at(NOW))

    assert send_due(at(NOW + CLAIM / 2)) == Sent(0, 0)  # it may still be at work
    assert send_due(at(NOW + CLAIM * 2)) == Sent(1, 0)
    assert [got["Message-ID"].split("@")[0][1:] for got in server.mails] == [str(message.uid)]


def test_a_sender_killed_between_the_yes_and_the_mark_repeats_under_the_same_message_id(server, monkeypatch):
    make.message()
    with monkeypatch.context() as broken:
        broken.setattr(send, "_mark", lambda *args: (_ for _ in ()).throw(PowerCut))
        with pytest.raises(PowerCut):
            send_due(at(NOW))

    assert send_due(at(NOW + CLAIM * 2)) == Sent(1, 0)
    first, second = server.mails
    assert first["Message-ID"] == second["Message-ID"]


def test_an_error_says_its_kind_and_none_of_our_words(settings, caplog):
    settings.EMAIL_BACKEND = SMTP
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "orla", "hunter2"
    message = make.message()

    send_due(at(NOW))

    message.refresh_from_db()
    assert "hunter2" not in message.last_error + caplog.text


def test_without_a_mail_server_a_message_is_one_file_however_often_it_is_sent(settings):
    settings.EMAIL_BACKEND = "fleet.config.mail.FilesBackend"
    message = make.message()

    send_due(at(NOW))
    Message.objects.update(sent_at=None)
    send_due(at(NOW))

    (file,) = settings.MESSAGES_FOLDER.iterdir()
    got = email.message_from_bytes(file.read_bytes(), policy=policy.default)
    assert (got["Subject"], got.get_content()) == (message.subject, message.body)
    assert file.stat().st_mode & 0o077 == 0
