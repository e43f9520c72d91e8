"""Putting one message into the outbox, in its reader's language."""

from collections.abc import Callable
from datetime import datetime

from django.utils import translation

from fleet.models import Message, MessageKind
from fleet.planning.messages.letters import Letter
from fleet.planning.messages.pen import Desk
from fleet.queries.readers import Reader
from fleet.verbs import journal
from sites.models import Person

Write = Callable[[Desk], Letter]
SUBJECT_LETTERS = 250


def hold(person: Person) -> None:
    """Others who would write to this person wait until the transaction ends."""
    Person.objects.select_for_update().get(pk=person.pk)


def put(
    reader: Reader, kind: MessageKind, key: str, facts: dict, now: datetime, write: Write
) -> list[Message]:
    """The message as a row, to be sent at once; none where this was written before. Hold the person first."""
    if Message.objects.filter(key=key).exists():
        return []
    language = reader.wishes.language
    with translation.override(language):
        letter = write(reader.desk)
    message = Message.objects.create(
        key=key,
        kind=kind,
        person=reader.person,
        address=reader.person.email,
        language=language,
        subject=letter.subject[:SUBJECT_LETTERS],
        body=letter.body,
        facts=facts,
        made_at=now,
        due_at=now,
    )
    journal.record("the book", "message written", "", now, kind=kind.value, to=reader.person.username)
    return [message]
