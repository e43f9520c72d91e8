"""Any order of copies landing, rules changing, rounds, kills and pins: nothing goes that should stay."""

from datetime import datetime, timedelta

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from fleet.models import JUDGED_GRADES, Custody, Grade, KeepRule, Pin, SealedBody, Snapshot
from fleet.verbs import pins
from fleet.verbs.keep import apply_rule
from tests import make

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
ZONES = ("Europe/Oslo", "America/St_Johns", "Pacific/Chatham")
NUMBERS = st.fixed_dictionaries(
    {
        "days": st.integers(0, 3),
        "weeks": st.integers(0, 2),
        "months": st.integers(0, 2),
        "years": st.integers(0, 1),
        "grace_days": st.integers(0, 7),
    }
)


class Killed(Exception):
    """The worker died here."""


class Keeping(RuleBasedStateMachine):
    """One mesh. What the machine knows of each copy it has seen itself, never read from the keep rules.

    held: copies that somebody said must stay; marks: when a copy was first seen marked, without a break since.
    """

    def __init__(self) -> None:
        super().__init__()
        self.outer = transaction.atomic()
        self.outer.__enter__()
        self.now: datetime = make.NOW
        self.held: set[int] = set()
        self.marks: dict[int, datetime] = {}
        self.whole_before = True

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.outer.__exit__(None, None, None)

    @initialize(
        zone=st.sampled_from(ZONES),
        numbers=NUMBERS,
        backs=st.lists(st.integers(0, 24 * 90), min_size=4, max_size=9),
    )
    def a_book(self, zone: str, numbers: dict[str, int], backs: list[int]) -> None:
        self.rule = make.keep_rule(is_default=True, **numbers)
        self.mesh = make.mesh(site=make.site(time_zone=zone))
        swapped = make.NOW - 40 * DAY
        make.service(self.mesh, make.radio(), since=make.NOW - 900 * DAY, until=swapped)
        make.service(self.mesh, make.radio(), since=swapped)
        for back in backs:
            self.a_copy_lands_late_or_in_time(back, Grade.SOUND, old_key=False)

    @rule(
        back=st.integers(0, 24 * 90),
        grade=st.sampled_from((Grade.SOUND, Grade.SEEN_LIVE, Grade.PROVEN, Grade.HELD)),
        old_key=st.booleans(),
    )
    def a_copy_lands_late_or_in_time(self, back: int, grade: Grade, old_key: bool) -> None:
        key = {"key_mark": "0LDKEY00"} if old_key else {}
        make.sealed_body(make.snapshot(self.mesh, taken_at=self.now - back * HOUR, grade=grade, **key))

    @rule(numbers=NUMBERS)
    def the_rule_changes(self, numbers: dict[str, int]) -> None:
        KeepRule.objects.filter(pk=self.rule.pk).update(**numbers)

    @rule(hours=st.integers(1, 24 * 9))
    def time_passes(self, hours: int) -> None:
        self.now += hours * HOUR

    @rule(whole=st.booleans())
    def a_round_runs(self, whole: bool) -> None:
        before = self.copies()
        self.mesh.refresh_from_db()
        apply_rule(self.mesh, self.now, self.whole_before)
        self.judge(before)
        self.whole_before = whole
        after = self.states()
        apply_rule(self.mesh, self.now, False)
        assert self.states() == after, "a second pass changes nothing"

    @rule(statement=st.integers(1, 12))
    def a_round_is_killed(self, statement: int) -> None:
        before = self.states()
        try:
            with transaction.atomic(), connection.execute_wrapper(killing(statement)):
                apply_rule(self.mesh, self.now, self.whole_before)
                raise Killed
        except Killed:
            pass
        assert self.states() == before, "a killed round leaves no half-done mesh"
        self.whole_before = False

    @precondition(lambda self: Snapshot.objects.exclude(custody=Custody.GONE).exists())
    @rule(data=st.data())
    def somebody_keeps_a_copy(self, data: st.DataObject) -> None:
        copy = data.draw(
            st.sampled_from([pk for pk, (custody, _) in self.states().items() if custody != Custody.GONE])
        )
        pins.keep_by_hand(Snapshot.objects.get(pk=copy), "asked for", "Noor", self.now)
        self.held.add(copy)
        self.note_marks()

    @precondition(lambda self: self.held)
    @rule(data=st.data())
    def somebody_takes_a_pin_off(self, data: st.DataObject) -> None:
        copy = data.draw(st.sampled_from(sorted(self.held)))
        pins.end(Pin.objects.get(snapshot=copy, ended_at=None), "Noor", self.now)
        self.held.discard(copy)
        self.note_marks()

    @rule()
    def somebody_keeps_all_that_is_marked(self) -> None:
        marked = {pk for pk, (custody, _) in self.states().items() if custody == Custody.DOOMED}
        pins.keep_all_marked(self.mesh, "asked for", "Noor", self.now)
        self.held |= marked
        self.note_marks()

    @invariant()
    def a_mesh_that_had_a_sound_copy_has_its_newest(self) -> None:
        sound = Snapshot.objects.filter(grade__in=JUDGED_GRADES).order_by("-taken_at", "-id")
        newest = sound.first()
        assert newest is None or newest.custody != Custody.GONE

    @invariant()
    def what_somebody_keeps_is_here(self) -> None:
        states = self.states()
        assert all(states[copy][0] in (Custody.PINNED, Custody.KEPT) for copy in self.held)

    @invariant()
    def octets_are_there_exactly_while_a_copy_is(self) -> None:
        here = set(Snapshot.objects.exclude(custody=Custody.GONE).values_list("pk", flat=True))
        assert set(SealedBody.objects.values_list("snapshot", flat=True)) == here

    @invariant()
    def what_went_says_when_and_by_which_rule(self) -> None:
        for copy in Snapshot.objects.filter(custody=Custody.GONE):
            assert copy.gone_at is not None
            assert self.rule.name in copy.gone_because

    def judge(self, before: dict[int, Snapshot]) -> None:
        """Hold what a round did against what may ever be done."""
        grace = timedelta(days=KeepRule.objects.get(pk=self.rule.pk).grace_days)
        gone = [copy for copy in self.copies().values() if copy.custody == Custody.GONE]
        for copy in gone:
            if before[copy.pk].custody == Custody.GONE:
                continue
            assert self.whole_before, "after a round that was not whole nothing goes"
            assert copy.pk in self.marks, "what nobody saw marked does not go"
            assert self.now - self.marks[copy.pk] >= grace, "the whole grace time passes first"
        self.note_marks()

    def note_marks(self) -> None:
        marked = [pk for pk, (custody, _) in self.states().items() if custody == Custody.DOOMED]
        self.marks = {pk: self.marks.get(pk, self.now) for pk in marked}

    def copies(self) -> dict[int, Snapshot]:
        return {copy.pk: copy for copy in Snapshot.objects.all()}

    def states(self) -> dict[int, tuple[str, tuple[str, ...]]]:
        return {pk: (copy.custody, tuple(copy.holds)) for pk, copy in self.copies().items()}


def killing(statement: int):
    """Ends the work at its so many-th statement, before that reaches the database."""
    left = [statement]

    def wrapper(execute, sql, parameters, many, context):
        left[0] -= 1
        if left[0] <= 0:
            raise Killed
        return execute(sql, parameters, many, context)

    return wrapper


@pytest.mark.django_db
def test_nothing_goes_that_should_stay_whatever_happens_in_whatever_order():
    run_state_machine_as_test(
        Keeping,
        settings=settings(
            max_examples=40, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
