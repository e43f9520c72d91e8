"""Messages are written when they are due, once, and only to those who want them."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from fleet.models import DrillKind, DrillResult, Grade, JournalEntry, Mesh, Message, MessageKind, Wishes
from fleet.planning.readiness import GateName, State
from fleet.verbs.tell import tell
from sites.models import Role
from tests import make

pytestmark = pytest.mark.django_db

NOW = make.NOW.replace(hour=9)
DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def _a_round_has_ended() -> None:
    make.round_(started_at=NOW - timedelta(minutes=30))


def mesh(state: State, gate: GateName | None = None, zone: str = "Europe/Oslo", **given) -> Mesh:
    home = make.site(time_zone=zone)
    return make.mesh(site=home, readiness=state, readiness_gate=gate.value if gate else "", **given)


def bare(**given) -> Mesh:
    return mesh(State.BARE, GateName.SPARE, **{"safety_relevant": True, **given})


def stale(**given) -> Mesh:
    return mesh(State.THIN, GateName.FRESH, **given)


def become(row: Mesh, state: State) -> None:
    row.readiness, row.readiness_rank = state.value, state.severity
    row.save(update_fields=["readiness", "readiness_rank"])


def kinds(messages: list[Message]) -> list[str]:
    return [message.kind for message in messages]


def each_hour(start: datetime, hours: int) -> list[Message]:
    """Tell as the jobs do, with a round each hour."""
    written = []
    for hour in range(hours):
        now = start + timedelta(hours=hour)
        make.round_(started_at=now - timedelta(minutes=10))
        written += tell(now)
    return written


def test_thirty_homes_stale_by_one_outage_make_one_message_with_thirty_lines():
    make.reader()
    for number in range(30):
        make.snapshot(stale(), taken_at=NOW - timedelta(days=9, minutes=number))

    written = tell(NOW)

    assert kinds(written) == [MessageKind.LIST]
    assert sum(line.startswith("  HOME-") for line in written[0].body.splitlines()) == 30
    assert written[0].body.count("The newest sound snapshot is too old") == 1


def test_thirty_safety_homes_bare_by_one_cause_make_one_urgent_message():
    make.reader(morning_list=False)
    for _ in range(30):
        bare()

    (written,) = tell(NOW)

    assert written.subject.startswith("Urgent: 30 homes")
    assert len(written.facts["meshes"]) == 30


def test_nothing_is_written_twice():
    make.reader()
    bare()

    assert len(tell(NOW)) == 2
    assert tell(NOW) == []
    assert tell(NOW + timedelta(minutes=5)) == []


def test_the_list_comes_each_morning_and_not_before_eight_on_the_readers_clock():
    make.reader(urgent=False, time_zone="Asia/Tokyo")
    mesh(State.COVERED)

    written = each_hour(NOW, 48)

    assert [message.made_at.hour for message in written] == [9, 23, 23]  # 18 o'clock today, then at eight


def test_across_a_change_of_clocks_the_rest_comes_at_eight_on_the_homes_clock():
    make.reader(urgent=False, time_zone="Asia/Tokyo")
    stale(zone="Europe/Oslo")  # clocks go forward there in the night to the 28th

    rest = [message for message in each_hour(NOW, 72) if message.kind == MessageKind.REST]

    assert [message.made_at for message in rest] == [
        datetime(2027, 3, 27, 7, tzinfo=UTC),
        datetime(2027, 3, 28, 6, tzinfo=UTC),
        datetime(2027, 3, 29, 6, tzinfo=UTC),
    ]


def test_a_list_is_sent_when_all_is_well_too():
    make.reader()
    mesh(State.COVERED)

    (written,) = tell(NOW)

    assert written.subject == "Sparebook: Every home could be brought back today."


def test_homes_where_it_is_night_follow_when_it_is_day_there():
    make.reader(urgent=False)
    asleep = stale(zone="Pacific/Chatham")

    first, rest = each_hour(NOW, 15)

    assert asleep.code not in first.body
    assert (rest.kind, rest.made_at) == (MessageKind.REST, NOW.replace(hour=19))  # eight there is 18:15
    assert asleep.code in rest.body


def test_what_is_well_by_daylight_is_not_told():
    make.reader(urgent=False)
    asleep = stale(zone="Pacific/Chatham")
    tell(NOW)

    become(asleep, State.COVERED)

    assert tell(NOW.replace(hour=19)) == []


def test_a_safety_home_is_told_in_the_middle_of_its_night():
    make.reader(morning_list=False)
    bare(zone="Pacific/Chatham")

    assert kinds(tell(NOW.replace(hour=12))) == [MessageKind.URGENT]


def test_a_flapping_home_is_told_at_most_once_a_day():
    make.reader(morning_list=False)
    home = bare()

    written = []
    for hour in range(72):
        become(home, State.BARE if hour % 2 else State.COVERED)
        written += each_hour(NOW + timedelta(hours=hour), 1)

    times = [message.made_at for message in written]
    assert len(times) == 3
    assert all(later - earlier >= DAY for earlier, later in pairwise(times))


def test_a_home_that_stays_bare_is_not_repeated_as_urgent():
    make.reader(morning_list=False)
    bare()

    assert len(each_hour(NOW, 60)) == 1


def test_a_home_that_is_bare_once_more_is_told_once_more():
    make.reader(morning_list=False)
    home = bare()
    tell(NOW)
    become(home, State.COVERED)
    each_hour(NOW + timedelta(hours=1), 2)

    become(home, State.BARE)

    assert kinds(each_hour(NOW + DAY, 3)) == [MessageKind.URGENT]


def test_a_failed_live_swap_strands_a_mesh_until_devices_are_heard():
    make.reader(morning_list=False)
    home = mesh(State.COVERED, safety_relevant=True)
    make.drill(home, kind=DrillKind.LIVE, result=DrillResult.FAILED, done_at=NOW - DAY)
    make.snapshot(home, grade=Grade.SOUND, taken_at=NOW - timedelta(hours=1))

    (written,) = tell(NOW)
    assert written.subject == "Urgent: 1 home with locks, heating or alarms is stranded."

    make.snapshot(home, grade=Grade.SEEN_LIVE, taken_at=NOW)
    assert each_hour(NOW + timedelta(hours=1), 30) == []


def test_each_reader_is_told_in_their_own_language():
    make.reader(urgent=False, language="de", email="greta@firm.example")
    make.reader(urgent=False, language="ja", email="aiko@firm.example")
    stale()

    subjects = {message.address: message.subject for message in tell(NOW)}

    assert subjects == {
        "greta@firm.example": "Sparebook: 1 Haus ist nur knapp abgesichert.",
        "aiko@firm.example": "Sparebook：備えが手薄な家が1軒あります。",
    }


def test_what_people_never_said_goes_by_their_role():
    for role in (Role.OWNER, Role.OFFICE, Role.TECHNICIAN):
        make.person(username=role.value, role=role, email=f"{role.value}@firm.example")
    make.subcontractor(username="partner", email="partner@firm.example")
    bare()

    written = tell(NOW)

    assert {message.address for message in written} == {"owner@firm.example", "office@firm.example"}


def test_a_partner_who_asked_is_told_of_their_homes_only():
    mine, other = bare(), bare()
    partner = make.reader(role=Role.SUBCONTRACTOR, access_ends_on=(NOW + DAY).date())
    partner.sites.add(mine.site)

    urgent, morning = tell(NOW)

    for message in (urgent, morning):
        assert mine.code in message.body
        assert other.code not in message.body


def test_access_that_ended_is_told_nothing():
    make.reader(access_ends_on=(NOW - DAY).date())
    bare()

    assert tell(NOW) == []


def test_somebody_without_an_address_is_written_nothing():
    make.reader(email="")
    bare()

    assert tell(NOW) == []


def test_a_mesh_that_is_not_in_care_is_not_told():
    make.reader(morning_list=False)
    bare(in_care=False)

    assert tell(NOW) == []


def test_writing_is_in_the_journal_without_what_was_said():
    reader = make.reader(morning_list=False)
    bare()

    tell(NOW)

    line = JournalEntry.objects.get(what="message written")
    assert line.details == {"kind": "urgent", "to": reader.username}


@pytest.mark.parametrize("readers", [1, 4])
def test_readers_of_the_whole_book_share_what_was_read_for_them(django_assert_max_num_queries, readers):
    for _ in range(readers):
        make.reader()
    for _ in range(20):
        bare()

    with django_assert_max_num_queries(10 + 16 * readers):
        tell(NOW)
    with django_assert_max_num_queries(8 + 5 * readers):
        tell(NOW + timedelta(minutes=5))


def test_a_message_is_not_kept_without_the_note_that_it_was_told(monkeypatch):
    """The two are one transaction: without the note there is no message, and the next call writes both."""
    make.reader(morning_list=False)
    bare()
    whole = "fleet.models.ToldOfMesh.objects.bulk_create"

    class PowerCut(BaseException):
        pass

    def cut(*args, **kwargs):
        raise PowerCut

    with monkeypatch.context() as broken:
        broken.setattr(whole, cut)
        with pytest.raises(PowerCut):
            tell(NOW)

    assert not Message.objects.exists()
    assert len(tell(NOW)) == 1


def test_one_who_cannot_be_written_to_does_not_keep_the_next_from_being_told():
    broken, sound = make.reader(morning_list=False), make.reader(morning_list=False)
    Wishes.objects.filter(person=broken).update(time_zone="Mars/Olympus")
    bare()

    assert [message.person for message in tell(NOW)] == [sound]
