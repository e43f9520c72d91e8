"""What lies sealed: small, whole, and found out when it is not."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet import keyring
from fleet.models import BaseCopy, Custody, DataKey, How, PackingBase, SealedBody
from fleet.queries.sealed import open_body
from fleet.queries.verify import verify
from fleet.snapshots.sealing import SealError
from fleet.verbs import renew_ring
from fleet.verbs.intake import Origin, receive
from fleet.verbs.keep import apply_rule
from fleet.verbs.repack import mend_bases, repack
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
DAYS = 6


@pytest.fixture
def mesh():
    return make.mesh()


@pytest.fixture
def bodies(mesh) -> dict:
    """Six dailies, oldest first, with their documents."""
    kept = {}
    for day in range(DAYS):
        taken_at = make.NOW - DAY * (DAYS - day)
        body = document(mesh, taken_at, outgoing_counter=1_000_000 + day * 200_000)
        receipt = receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
        kept[receipt.snapshot.pk] = body
    return kept


def sealed(pk):
    return SealedBody.objects.get(snapshot=pk)


def damaged():
    return [looked.what for looked in verify() if looked.wrong]


def flip(row):
    octets = bytearray(bytes(row.sealed))
    octets[len(octets) // 2] ^= 1
    row.sealed = bytes(octets)
    row.save(update_fields=["sealed"])


def test_older_copies_are_packed_against_a_base_and_come_back_octet_for_octet(mesh, bodies):
    report = repack(mesh, make.NOW)

    assert report.bodies == DAYS - 1
    assert report.after < report.before / 4
    for pk, body in bodies.items():
        assert open_body(sealed(pk)) == body


def test_the_newest_sound_copy_needs_no_other_row(mesh, bodies):
    repack(mesh, make.NOW)

    newest = sealed(max(bodies))
    PackingBase.objects.all().update(data_key=newest.data_key)
    assert newest.base is None


def test_packing_twice_changes_nothing(mesh, bodies):
    repack(mesh, make.NOW)

    assert repack(mesh, make.NOW).bodies == 0


def test_one_flipped_bit_in_a_copy_is_named_and_costs_that_copy_only(mesh, bodies):
    repack(mesh, make.NOW)
    victim = sealed(min(bodies))
    flip(victim)

    found = damaged()

    assert len(found) == 1
    assert mesh.code in found[0]
    for pk in list(bodies)[1:]:
        assert open_body(sealed(pk)) == bodies[pk]


def test_one_flipped_bit_in_a_base_costs_nothing_and_is_mended(mesh, bodies):
    repack(mesh, make.NOW)
    flip(BaseCopy.objects.get(place=1))
    assert len(damaged()) == 1
    for pk, body in bodies.items():
        assert open_body(sealed(pk)) == body

    mended = mend_bases("Orla", make.NOW)

    assert len(mended) == 1
    assert damaged() == []


def test_the_verify_command_ends_with_an_error_where_something_is_damaged(mesh, bodies):
    out = StringIO()
    call_command("sealed", "verify", stdout=out, stderr=StringIO())
    # Six documents and the data key under which they lie.
    assert out.getvalue() == f"{DAYS + 1} sealed rows opened, 0 damaged, 0 mended.\n"

    flip(sealed(min(bodies)))

    with pytest.raises(CommandError, match="1 sealed rows"):
        call_command("sealed", "verify", stdout=StringIO(), stderr=StringIO())


def test_when_the_copy_behind_the_base_is_erased_the_base_goes_and_the_rest_still_opens(mesh, bodies):
    rule = make.keep_rule(days=2, weeks=0, months=0, years=0, grace_days=0)
    mesh.keep_rule = rule
    mesh.save()
    repack(mesh, make.NOW)
    base = PackingBase.objects.get()
    base.source_id = min(bodies)  # as after many days: the base's own copy is now the oldest
    base.save()

    apply_rule(mesh, make.NOW, True)
    apply_rule(mesh, make.NOW, True)

    assert mesh.snapshots.filter(custody=Custody.GONE).count() == DAYS - 2
    assert not PackingBase.objects.filter(pk=base.pk).exists()
    for pk in list(bodies)[-2:]:
        assert open_body(sealed(pk)) == bodies[pk]


def test_a_renewed_ring_opens_everything_and_the_old_key_leaves_it(mesh, bodies):
    before = keyring.load()

    renewal = renew_ring.renew("Orla", make.NOW)

    ring = keyring.load()
    assert renewal.made
    assert renewal.dropped == (before.active,)
    assert list(ring.wrapping) == [ring.active]
    assert ring.active != before.active
    assert set(DataKey.objects.values_list("ring_key", flat=True)) == {ring.active}
    assert damaged() == []


def test_a_renewal_that_was_broken_off_goes_on_with_what_is_left(mesh, bodies, monkeypatch):
    other = make.mesh()
    receive(other, document(other), Origin(How.PUSH, "controller"), make.NOW)
    real = renew_ring._wrap_anew
    calls = []

    def killed_at_the_second(row, ring):
        calls.append(row)
        if len(calls) == 2:
            raise KeyboardInterrupt
        real(row, ring)

    monkeypatch.setattr(renew_ring, "_wrap_anew", killed_at_the_second)
    with pytest.raises(KeyboardInterrupt):
        renew_ring.renew("Orla", make.NOW)
    assert damaged() == []
    monkeypatch.setattr(renew_ring, "_wrap_anew", real)
    active = keyring.load().active

    renewal = renew_ring.renew("Orla", make.NOW)

    assert (renewal.made, renewal.ring_key, renewal.wrapped) == (False, active, 1)
    assert damaged() == []


def test_without_its_ring_nothing_opens(mesh, bodies, settings, tmp_path):
    settings.KEYRING_FILE = tmp_path / "another" / "keyring.json"

    with pytest.raises(keyring.KeyRingError):
        open_body(sealed(min(bodies)))


def test_a_destroyed_data_key_opens_nothing_more(mesh, bodies):
    DataKey.objects.update(wrapped=None, destroyed_at=make.NOW)

    with pytest.raises(SealError, match="destroyed"):
        open_body(sealed(min(bodies)))
