"""Bases follow one another, lean on the first, and go when the copy they were made from goes."""

from datetime import timedelta

import pytest

from fleet.models import BaseCopy, Custody, How, PackingBase, SealedBody
from fleet.queries.sealed import open_base, open_body
from fleet.queries.verify import verify
from fleet.verbs.intake import Origin, receive
from fleet.verbs.repack import let_base_go, mend_bases, repack
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
DAYS = 40


@pytest.fixture
def mesh():
    return make.mesh()


@pytest.fixture
def bodies(mesh) -> dict:
    """Forty dailies packed night by night, oldest first, with their documents."""
    kept = {}
    for day in range(DAYS):
        taken_at = make.NOW - DAY * (DAYS - day)
        body = document(mesh, taken_at, outgoing_counter=1_000_000 + day * 200_000)
        receipt = receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
        repack(mesh, taken_at)
        kept[receipt.snapshot.pk] = body
    return kept


def opened() -> dict:
    return {row.snapshot_id: open_body(row) for row in SealedBody.objects.all()}


def damaged() -> list[str]:
    return [looked.what for looked in verify() if looked.wrong]


def flip(row) -> None:
    octets = bytearray(bytes(row.sealed))
    octets[len(octets) // 2] ^= 1
    row.sealed = bytes(octets)
    row.save(update_fields=["sealed"])


def erase(mesh, base) -> None:
    """As the keep rule does with the copy behind this base."""
    source = base.source
    source.custody = Custody.GONE
    source.save()
    SealedBody.objects.filter(snapshot=source).delete()
    let_base_go(mesh, [source.pk], make.NOW)


def test_a_base_that_has_served_is_followed_by_another(mesh, bodies):
    assert mesh.packing_bases.count() > 2
    assert opened() == bodies


def test_only_the_first_base_is_whole_and_the_others_are_small(mesh, bodies):
    whole = PackingBase.objects.get(root=None)

    largest_leaf = max(len(copy.sealed) for copy in BaseCopy.objects.exclude(base=whole))
    assert set(PackingBase.objects.exclude(pk=whole.pk).values_list("root", flat=True)) == {whole.pk}
    assert largest_leaf < len(whole.copies.first().sealed) / 4


@pytest.mark.parametrize("place", [1, 2])
def test_one_flipped_bit_in_the_first_base_costs_nothing_and_is_mended(mesh, bodies, place):
    flip(BaseCopy.objects.get(base__root=None, place=place))
    assert opened() == bodies

    mend_bases("Orla", make.NOW)

    assert damaged() == []


def test_one_flipped_bit_in_a_later_base_costs_nothing_and_is_mended(mesh, bodies):
    flip(BaseCopy.objects.exclude(base__root=None).filter(place=1).first())
    assert opened() == bodies

    mend_bases("Orla", make.NOW)

    assert damaged() == []


def test_when_the_first_base_goes_the_others_lean_on_the_next(mesh, bodies):
    first = PackingBase.objects.get(root=None)
    gone = first.source_id

    erase(mesh, first)

    assert not PackingBase.objects.filter(pk=first.pk).exists()
    assert PackingBase.objects.filter(root=None).count() == 1
    assert opened() == {pk: body for pk, body in bodies.items() if pk != gone}
    assert damaged() == []


def test_when_a_later_base_goes_its_copies_move_to_another(mesh, bodies):
    later = PackingBase.objects.exclude(root=None).order_by("pk").first()
    gone = later.source_id

    erase(mesh, later)

    assert not PackingBase.objects.filter(pk=later.pk).exists()
    assert opened() == {pk: body for pk, body in bodies.items() if pk != gone}


def test_when_every_base_goes_at_once_the_rest_still_opens(mesh, bodies):
    gone = list(PackingBase.objects.values_list("source", flat=True))
    SealedBody.objects.filter(snapshot__in=gone).delete()
    mesh.snapshots.filter(pk__in=gone).update(custody=Custody.GONE)

    let_base_go(mesh, gone, make.NOW)

    assert not PackingBase.objects.filter(source__in=gone).exists()
    assert opened() == {pk: body for pk, body in bodies.items() if pk not in gone}


def test_no_octets_of_an_erased_copy_are_left_in_a_base(mesh, bodies):
    first = PackingBase.objects.get(root=None)
    erased = bodies[first.source_id]

    erase(mesh, first)

    assert erased not in [open_base(base) for base in PackingBase.objects.all()]
