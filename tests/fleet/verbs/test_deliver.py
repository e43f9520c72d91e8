"""Events reach other systems: each once by its id, those of a home in order, signed, whatever the receiver does."""

import base64
import json
from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from fleet.models import Delivery, Event, How, JournalEntry, ReadinessChange, Receiver
from fleet.planning.events import Kind, shown_secret
from fleet.planning.reaching import networks
from fleet.queries import receivers as queries
from fleet.queries.verify import verify
from fleet.verbs import deliver, journal, receivers
from fleet.verbs.deliver import CLAIM, DEAD_AFTER, Delivered, deliver_due, forget, gather
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document
from tests.fleet.verbs.receiving import Heard, Listening, listening

pytestmark = pytest.mark.django_db

NOW = make.NOW
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)


class PowerCut(BaseException):
    """A process that dies where it stands."""


@pytest.fixture(autouse=True)
def _may_call_here(settings) -> None:
    settings.EVENTS_MAY_REACH = networks(["127.0.0.1/32"])


@pytest.fixture
def there() -> Iterator[Listening]:
    with listening() as found:
        yield found


def added(address: str, *kinds: Kind) -> tuple[Receiver, str]:
    receiver, secret = receivers.add("calendar", address, list(kinds), "Orla", NOW)
    return receiver, shown_secret(secret)


def at(moment: datetime):
    return lambda: moment


def landed(home: str, number: int, moment: datetime = NOW) -> None:
    journal.record(
        "controller", "snapshot taken in", f"{home}-A", moment, snapshot=f"{number}", grade="sound"
    )


def each_minute(start: datetime, until: datetime) -> None:
    """The job as the schedule runs it."""
    now = start
    while now <= until:
        gather(now)
        deliver_due(at(now))
        now += MINUTE


def order(heard: list[Heard]) -> dict[str, list[str]]:
    """The numbers of the snapshots told, by mesh, in the order of their first arrival."""
    told, seen = defaultdict(list), set()
    for request in heard:
        if request.mark not in seen:
            seen.add(request.mark)
            data = json.loads(request.body)["data"]
            told[data["mesh"]].append(data["snapshot"])
    return told


def test_what_happened_arrives_signed(there):
    _, secret = added(there.address)
    landed("KELP-7", 1)

    # Now, as the reference library refuses what was signed minutes ago.
    gather(timezone.now())
    assert deliver_due(timezone.now) == Delivered(1, 0)

    (got,) = there.heard
    said = got.said(secret)
    assert (said["type"], said["data"]["mesh"]) == ("snapshot.landed", "KELP-7-A")
    assert got.mark == str(Event.objects.get().uid)


def test_a_receiver_down_for_six_hours_gets_all_of_it_once_by_id_and_in_order(there):
    added(there.address)
    there.answer = 503
    homes = [f"HOME-{n}" for n in range(1, 6)]
    for hour in range(6):
        for number, home in enumerate(homes):
            landed(home, hour * 100 + number, NOW + hour * HOUR)
        each_minute(NOW + hour * HOUR, NOW + hour * HOUR + 59 * MINUTE)
    tries = len(there.heard)
    there.heard.clear()

    there.answer = 204
    each_minute(NOW + 6 * HOUR, NOW + 8 * HOUR)

    marks = [request.mark for request in there.heard]
    assert len(marks) == len(set(marks)) == 30
    assert set(marks) == {str(uid) for uid in Event.objects.values_list("uid", flat=True)}
    for number, home in enumerate(homes):
        assert order(there.heard)[f"{home}-A"] == [str(hour * 100 + number) for hour in range(6)]
    assert tries < 30  # it was not called each minute while it was down


def test_an_event_that_is_refused_holds_up_its_home_and_no_other(there):
    added(there.address)
    refused = {"1"}
    there.answer = lambda request: (
        422 if order([request])["HOME-1-A"] in [[each] for each in refused] else 204
    )
    for number in (1, 2):
        landed("HOME-1", number)
        landed("HOME-2", number)

    each_minute(NOW, NOW + 10 * MINUTE)
    assert order([each for each in there.heard if there.answer(each) == 204]) == {"HOME-2-A": ["1", "2"]}

    refused.clear()
    there.heard.clear()
    each_minute(NOW + 11 * MINUTE, NOW + HOUR)
    assert order(there.heard) == {"HOME-1-A": ["1", "2"]}


def test_what_nobody_takes_for_three_days_is_dead_and_the_next_goes_on(there):
    added(there.address)
    there.answer = lambda request: 400 if order([request])["HOME-1-A"] == ["1"] else 204
    landed("HOME-1", 1)
    landed("HOME-1", 2)
    gather(NOW)
    deliver_due(at(NOW))

    later = NOW + DEAD_AFTER + HOUR
    deliver_due(at(later))

    assert [row.state for row in Delivery.objects.order_by("event_id")] == ["dead", "taken"]


def test_a_dead_event_can_be_put_back_in_line(there):
    added(there.address)
    there.answer = 400
    landed("HOME-1", 1)
    gather(NOW)
    deliver_due(at(NOW))
    deliver_due(at(NOW + DEAD_AFTER + HOUR))
    row = Delivery.objects.get()
    assert row.state == "dead"

    there.answer = 204
    receivers.revive(row, "Orla", NOW + DEAD_AFTER + HOUR)

    assert deliver_due(at(NOW + DEAD_AFTER + HOUR)) == Delivered(1, 0)


def test_a_deliverer_killed_after_the_yes_repeats_under_the_same_id(there, monkeypatch):
    added(there.address)
    landed("HOME-1", 1)
    gather(NOW)
    with monkeypatch.context() as broken:
        broken.setattr(deliver, "_mark", lambda *args: (_ for _ in ()).throw(PowerCut))
        with pytest.raises(PowerCut):
            deliver_due(at(NOW))

    assert deliver_due(at(NOW + CLAIM / 2)) == Delivered(0, 0)
    assert deliver_due(at(NOW + CLAIM * 2)) == Delivered(1, 0)
    first, second = there.heard
    assert first.mark == second.mark


def test_an_event_is_made_once_however_often_it_is_looked_for():
    added("http://127.0.0.1:9/")
    landed("HOME-1", 1)

    assert [gather(NOW), gather(NOW), gather(NOW + HOUR)] == [1, 0, 0]


def test_a_row_that_becomes_visible_late_is_still_told():
    """Rows get their numbers before they are committed: an older number may show up after a newer one was told."""
    added("http://127.0.0.1:9/")
    early = journal.record("c", "snapshot taken in", "HOME-1-A", NOW, snapshot="1", grade="sound")
    number = early.pk
    early.delete()
    landed("HOME-2", 2)
    gather(NOW)

    early.pk = number
    early.save(force_insert=True)

    assert gather(NOW) == 1


def test_what_happened_before_a_receiver_was_added_is_not_told_to_it():
    landed("HOME-1", 1)
    added("http://127.0.0.1:9/")

    assert gather(NOW) == 0


def test_without_a_receiver_no_event_is_made():
    landed("HOME-1", 1)

    assert gather(NOW) == 0
    assert not Event.objects.exists()


def test_a_receiver_gets_only_the_kinds_that_it_wants():
    added("http://127.0.0.1:9/", Kind.ROUND)
    landed("HOME-1", 1)
    journal.record("schedule", "round done", "", NOW, meshes=3, errors=0)

    gather(NOW)

    assert [row.event.kind for row in Delivery.objects.all()] == [Kind.ROUND]


def test_a_change_of_readiness_is_told():
    added("http://127.0.0.1:9/")
    mesh = make.mesh(site=make.site(code="KELP-7"))
    ReadinessChange.objects.create(mesh=mesh, at=NOW, was="covered", became="bare", gate="spare")

    gather(NOW)

    event = Event.objects.get()
    assert (event.kind, event.home) == (Kind.READINESS, "KELP-7")
    assert event.data == {"mesh": "KELP-7-A", "was": "covered", "became": "bare", "gate": "spare"}


def test_the_real_intake_is_told_without_a_word_of_it():
    added("http://127.0.0.1:9/")
    mesh = make.mesh()

    receive(mesh, document(mesh, NOW - HOUR), Origin(How.PUSH, "controller"), NOW)
    receive(mesh, b"not a document", Origin(How.PUSH, "controller"), NOW)

    assert gather(NOW) == 2
    landed_, trayed = Event.objects.order_by("pk")
    assert (landed_.kind, trayed.kind) == (Kind.LANDED, Kind.TRAYED)
    assert "controller" not in str([landed_.data, trayed.data])


def test_a_paused_receiver_gets_what_waited_when_it_is_resumed(there):
    receiver, _ = added(there.address)
    receivers.pause(receiver, "Orla", NOW)
    landed("HOME-1", 1)
    gather(NOW)
    assert deliver_due(at(NOW)) == Delivered(0, 0)

    receivers.resume(receiver, "Orla", NOW + HOUR)

    assert deliver_due(at(NOW + HOUR)) == Delivered(1, 0)


def test_an_ended_receiver_is_told_nothing_more(there):
    receiver, _ = added(there.address)
    landed("HOME-1", 1)
    gather(NOW)

    receivers.end(receiver, "Orla", NOW)

    assert deliver_due(at(NOW)) == Delivered(0, 0)
    assert gather(NOW) == 0
    assert Delivery.objects.get().state == "dead"


def test_a_secret_lies_sealed_and_is_in_no_row_log_or_error(there, caplog):
    receiver, secret = added(there.address)
    there.answer = 500
    landed("HOME-1", 1)
    gather(NOW)
    deliver_due(at(NOW))

    rows = [list(model.objects.values()) for model in (Receiver, Event, Delivery, JournalEntry)]
    octets = secret.removeprefix("whsec_")
    assert octets not in str(rows) + caplog.text
    receiver.refresh_from_db()
    assert base64.b64decode(octets) not in bytes(receiver.sealed_secret)


def test_a_secret_that_was_moved_to_another_receiver_opens_nothing(there):
    one, _ = added(there.address)
    two, _ = added(there.address)
    Receiver.objects.filter(pk=two.pk).update(sealed_secret=one.sealed_secret)
    landed("HOME-1", 1)
    gather(NOW)

    deliver_due(at(NOW))

    failed = Delivery.objects.get(receiver=two)
    assert failed.state == "waiting"
    assert failed.last_error.startswith("The secret cannot be opened")


def test_sealed_verify_names_a_secret_that_does_not_open(there):
    receiver, _ = added(there.address)
    assert [looked for looked in verify() if looked.wrong] == []

    Receiver.objects.update(sealed_secret=bytes(61))

    (damaged,) = [looked.what for looked in verify() if looked.wrong]
    assert damaged == f"secret of the receiver of events {receiver.label}"


def test_old_events_go_and_those_that_say_what_was_told_stay(monkeypatch):
    monkeypatch.setattr(deliver, "SLACK", 1)
    monkeypatch.setattr(queries, "SLACK", 1)
    receiver, _ = added("http://127.0.0.1:9/")
    for number in range(6):
        landed("HOME-1", number)
    gather(NOW)
    receiver.deliveries.update(delivered_at=NOW)

    forget(NOW + timedelta(days=31))

    assert Event.objects.count() == 3
    assert gather(NOW + timedelta(days=31)) == 0
