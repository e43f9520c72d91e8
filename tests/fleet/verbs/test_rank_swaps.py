"""Working out the order of swaps, chunk by chunk, and noting how long a type of radio is supported."""

from dataclasses import asdict
from datetime import date, timedelta

import pytest

from fleet.models import JournalEntry, Mesh, RankedSwap, SupportEnd, SwapRanking
from fleet.planning.priority import Weights, in_order
from fleet.queries import supposing
from fleet.queries.next_swaps import Weighing, facts_from
from fleet.queries.stands import meshes_of
from fleet.verbs import rank_swaps
from fleet.verbs.chunk import Outcome
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db


def now():
    return make.NOW


@pytest.fixture
def meshes(monkeypatch) -> list[Mesh]:
    """Five, in chunks of two: one without a copy, one with safety devices, one of which nothing is known."""
    monkeypatch.setattr(supposing, "MESHES_A_CHUNK", 2)
    found = [covered_mesh() for _ in range(4)]
    found[1].snapshots.all().delete()
    Mesh.objects.filter(pk=found[2].pk).update(safety_relevant=True)
    return [*found, make.mesh()]


def worked(row: SwapRanking, until=None) -> SwapRanking:
    rank_swaps.go_on(row.pk, now, until)
    row.refresh_from_db()
    return row


def test_the_rows_are_in_the_order_of_the_pure_calculation(meshes):
    row = worked(rank_swaps.ask("Orla", make.NOW))
    facts = [
        each.facts for each in Weighing.load(make.NOW).weigh(meshes_of([mesh.pk for mesh in meshes])).rows
    ]
    wanted = [(place.facts.code, place.worth) for place in in_order(facts)]
    found = row.rows.order_by("place").values_list("mesh__code", "worth")
    assert list(found) == wanted
    assert list(row.rows.order_by("place").values_list("place", flat=True)) == [1, 2, 3, 4, 5]
    assert found[0][0] == meshes[4].code  # of which nothing is known
    assert (row.done, row.total, row.finished_at) == (5, 5, make.NOW)


def test_it_is_written_down_who_asked(meshes):
    rank_swaps.ask("Orla", make.NOW)
    line = JournalEntry.objects.get()
    assert (line.who, line.what, line.details) == ("Orla", "swaps ranked", {"meshes": 5})


def test_one_that_is_under_way_is_gone_on_with(meshes):
    row = rank_swaps.ask("Orla", make.NOW)
    assert rank_swaps.ask("Noor", make.NOW) == row
    assert SwapRanking.objects.count() == 1


def test_an_order_is_put_down_after_a_chunk_and_taken_up_again(meshes):
    row = rank_swaps.ask("Orla", make.NOW)
    assert rank_swaps.go_on(row.pk, now, until=make.NOW) is Outcome.PUT_DOWN
    row.refresh_from_db()
    assert (row.done, row.rows.count(), row.finished_at) == (2, 2, None)
    assert (worked(row).done, row.rows.count()) == (5, 5)


def test_two_workers_give_no_mesh_two_places(meshes, monkeypatch):
    row = rank_swaps.ask("Orla", make.NOW)
    weigh, overtaken = Weighing.weigh, []

    def slow(self, chunk):
        found = weigh(self, chunk)
        if not overtaken:
            overtaken.append(True)
            assert rank_swaps.go_on(row.pk, now) is Outcome.DONE
        return found

    monkeypatch.setattr(Weighing, "weigh", slow)
    assert rank_swaps.go_on(row.pk, now) is Outcome.ELSEWHERE
    assert row.rows.count() == 5


def test_a_mesh_that_fails_is_noted_and_the_rest_gets_its_places(meshes):
    Mesh.objects.filter(pk=meshes[0].pk).update(security_mode="centrall")
    row = worked(rank_swaps.ask("Orla", make.NOW))
    assert [(each["mesh"], each["error"]) for each in row.errors] == [(meshes[0].code, "ValueError")]
    assert row.rows.count() == 4


def test_other_weights_give_another_order(meshes):
    heavy = Weights(outage_hour=0, safety=10_000, growth=0, support=0)
    row = worked(rank_swaps.ask("Orla", make.NOW, heavy))
    assert row.weights == asdict(heavy)
    known = row.rows.exclude(mesh=meshes[4]).order_by("place").first()
    assert known.mesh == meshes[2]


def test_old_orders_are_let_go(meshes):
    for _ in range(5):
        worked(rank_swaps.ask("Orla", make.NOW))
    assert SwapRanking.objects.count() == 3
    assert RankedSwap.objects.count() == 15


def test_an_order_that_lost_its_worker_is_found_once(meshes):
    row = rank_swaps.ask("Orla", make.NOW)
    assert rank_swaps.left_alone(make.NOW + timedelta(minutes=1)) == []
    assert rank_swaps.left_alone(make.NOW + timedelta(minutes=5)) == [row.pk]
    assert rank_swaps.left_alone(make.NOW + timedelta(minutes=5)) == []


def test_an_empty_book_has_an_empty_order():
    row = worked(rank_swaps.ask("Orla", make.NOW))
    assert (row.finished_at, row.rows.count()) == (make.NOW, 0)


def test_support_is_noted_with_who_says_so_and_can_be_noted_anew():
    model = make.radio_model(code="A2")
    rank_swaps.say_support(model, date(2028, 5, 31), "the  maker", "Orla", make.NOW)
    rank_swaps.say_support(model, date(2029, 5, 31), "a letter", "Noor", make.NOW)
    row = SupportEnd.objects.get()
    assert (row.last_day, row.said_by, row.noted_by) == (date(2029, 5, 31), "a letter", "Noor")
    lines = JournalEntry.objects.filter(what="support end noted").order_by("pk")
    assert [line.details["said_by"] for line in lines] == ["the maker", "a letter"]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("  ", "said_by: nothing was written"),
        ("0123456789abcdef0123456789abcdef", "said_by: this looks like"),
    ],
)
def test_support_without_a_source_is_refused(said, told):
    with pytest.raises(rank_swaps.SupportError, match=told):
        rank_swaps.say_support(make.radio_model(), date(2028, 5, 31), said, "Orla", make.NOW)
    assert not SupportEnd.objects.exists()


def test_facts_of_a_row_can_be_weighed_again(meshes):
    row = worked(rank_swaps.ask("Orla", make.NOW))
    again = [facts_from(each.facts) for each in row.rows.all()]
    assert [place.facts.code for place in in_order(again)] == list(
        row.rows.order_by("place").values_list("mesh__code", flat=True)
    )
