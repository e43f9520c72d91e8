"""The journal's chain in the database: sealed once each, and checked as a whole."""

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction

from fleet.models import JournalChain, JournalEntry
from fleet.planning.journal_chain import Break, Fault, Head
from fleet.queries.journal_chain import check, head, not_chained
from fleet.verbs.journal_chain import AT_ONCE, seal
from tests import make

pytestmark = pytest.mark.django_db


def written(count: int) -> None:
    JournalEntry.objects.bulk_create(
        [
            JournalEntry(at=make.NOW, who="Orla", what="round done", subject=f"KELP-{n}", details={"n": n})
            for n in range(count)
        ]
    )


def said(*args: str) -> str:
    from io import StringIO

    out = StringIO()
    call_command("journal", *args, stdout=out)
    return out.getvalue().strip()


def test_every_line_gets_one_place_in_the_order_in_which_it_was_written():
    written(3)
    assert seal(make.NOW) == 3
    written(2)
    assert seal(make.NOW) == 2
    assert seal(make.NOW) == 0
    assert list(JournalEntry.objects.order_by("pk").values_list("place", flat=True)) == [1, 2, 3, 4, 5]
    assert check() == (head(), None)
    assert head().place == 5


def test_more_lines_than_go_at_once_are_all_chained():
    written(AT_ONCE + 3)
    assert seal(make.NOW) == AT_ONCE + 3
    assert check()[1] is None


def test_a_line_that_was_committed_late_goes_to_the_end():
    written(2)
    late = JournalEntry.objects.order_by("pk")[0]
    JournalEntry.objects.filter(pk=late.pk).delete()
    seal(make.NOW)
    late.save(force_insert=True)
    seal(make.NOW)
    late.refresh_from_db()
    assert (late.place, check()[1]) == (2, None)


@pytest.mark.parametrize("details", [{"n": 2**60}, {"x": 0.1, "y": [1.0, None, True]}, {"ä": "—", "": {}}])
def test_details_of_every_kind_hold(details):
    make.journal_line(details=details)
    seal(make.NOW)
    assert check()[1] is None


def test_a_changed_line_is_named():
    written(4)
    seal(make.NOW)
    JournalEntry.objects.filter(place=3).update(who="Niall")
    assert check()[1] == Break(3, Fault.CHANGED)
    with pytest.raises(
        CommandError, match=r"place 3 \(2027-03-26 .* UTC, Niall: round done KELP-2\): this line is"
    ):
        said("check")


def test_a_deleted_line_is_found():
    written(4)
    seal(make.NOW)
    JournalEntry.objects.filter(place=2).delete()
    with pytest.raises(CommandError, match=r"place 3 .*: a line is missing before it"):
        said("check")


def test_lines_taken_from_the_end_are_found_even_where_the_head_was_moved_too():
    written(4)
    seal(make.NOW)
    on_paper = said("head")
    JournalEntry.objects.filter(place=4).delete()
    with pytest.raises(CommandError, match=r"place 3 .*: lines after it were taken away"):
        said("check")
    before = JournalEntry.objects.get(place=3)
    JournalChain.objects.update(place=3, digest=before.digest)
    assert said("check").startswith("All 3 lines are as they were written")
    with pytest.raises(CommandError, match=r"place 3 .*: lines after it were taken away"):
        said("check", "--known", on_paper)


def test_the_command_says_what_holds_and_what_is_not_chained_yet():
    written(2)
    assert said("seal") == "2 lines chained."
    written(1)
    assert (
        said("check")
        == f"All 2 lines are as they were written; the last is {head().digest}. 1 newer ones have no place in it yet."
    )
    assert said("check", "--known", said("head")).startswith("All 2 lines")


@pytest.mark.parametrize("text", ["x", "0:" + "a" * 64, "3:abc", "3"])
def test_what_is_no_head_is_refused(text):
    with pytest.raises(
        CommandError, match="is no head of the chain; write its place, a colon and 64 hex digits"
    ):
        said("check", "--known", text)


def test_an_empty_journal_holds():
    assert check() == (Head(), None)
    assert said("check").startswith("All 0 lines")


def test_a_place_needs_a_digest_and_is_given_once():
    written(2)
    first, second = JournalEntry.objects.order_by("pk")
    for columns in ({"place": 1}, {"digest": "a" * 64}):
        with pytest.raises(IntegrityError), transaction.atomic():
            JournalEntry.objects.filter(pk=first.pk).update(**columns)
    seal(make.NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        JournalEntry.objects.filter(pk=second.pk).update(place=1)


def test_not_chained_is_oldest_first():
    written(3)
    assert [each.subject for each in not_chained()] == ["KELP-0", "KELP-1", "KELP-2"]
