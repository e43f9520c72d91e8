"""What the commands about messages and rounds say."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.utils import timezone

from fleet.models import Message
from fleet.planning.readiness import State
from tests import make

pytestmark = pytest.mark.django_db


def say(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out, stderr=StringIO())
    return out.getvalue()


def round_ended(hours_ago: float) -> None:
    make.round_(started_at=timezone.now() - timedelta(hours=hours_ago, minutes=1))


def test_a_preview_writes_and_sends_nothing():
    reader = make.reader()
    make.mesh(readiness=State.THIN, readiness_gate="fresh")
    round_ended(0.5)

    said = say("messages", "preview", "--to", reader.username, "--language", "de")

    assert said.startswith("Sparebook: 1 Haus ist nur knapp abgesichert.")
    assert not Message.objects.exists()


def test_a_preview_as_json():
    make.reader()

    facts = json.loads(say("messages", "preview", "--json"))

    assert facts["language"] == "en"
    assert facts["subject"] == "Sparebook: No home is in the care of this book yet."


def test_a_preview_for_nobody_is_said():
    with pytest.raises(CommandError, match="nobody named zoe"):
        say("messages", "preview", "--to", "zoe")


def test_send_writes_what_is_due_and_sends_it():
    make.reader(morning_list=False)
    make.mesh(readiness=State.BARE, readiness_gate="spare", safety_relevant=True)
    round_ended(0.5)

    assert say("messages", "send") == "1 messages written, 1 sent, 0 failed.\n"
    assert len(mail.outbox) == 1


def test_send_that_fails_has_another_exit_status(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    make.message(due_at=timezone.now())

    with pytest.raises(CommandError, match="will be tried again"):
        say("messages", "send")


def test_the_list_says_what_became_of_each():
    make.message(sent_at=make.NOW)
    make.message(last_error="The mail server did not take it: SMTPDataError 550", tries=3)

    facts = json.loads(say("messages", "list", "--json"))

    assert [each["state"] for each in facts] == ["waiting", "sent"]
    assert "550" in say("messages", "list")


def test_rounds_that_run_are_one_line():
    round_ended(0.5)

    assert say("watch-rounds").startswith("Rounds run: the last complete round ended 30 minutes ago")


@pytest.mark.parametrize(("hours_ago", "words"), [(1.5, []), (3, ["--hours", "2.5"])])
def test_rounds_that_have_stopped_are_another_exit_status(hours_ago, words):
    round_ended(hours_ago)

    with pytest.raises(CommandError, match="Rounds have stopped") as error:
        say("watch-rounds", *words)
    assert error.value.returncode == 1
    assert "\n" not in str(error.value)


def test_a_book_without_a_round_is_not_well():
    with pytest.raises(CommandError, match="No round has ever ended"):
        say("watch-rounds")


def test_the_watch_tells_people_itself_once_a_day():
    make.reader()
    round_ended(1.5)

    for _ in range(3):
        with pytest.raises(CommandError):
            say("watch-rounds", "--tell")

    assert [sent.subject for sent in mail.outbox] == ["Urgent: No round has ended for 1 hour."]
