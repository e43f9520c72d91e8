"""Renewing the ring while others work, and data keys whose row is damaged."""

from datetime import timedelta

import pytest

from fleet import keyring
from fleet.models import DataKey, How, JournalEntry, SealedBody
from fleet.queries.sealed import open_body, unwrapped
from fleet.queries.verify import verify
from fleet.snapshots.sealing import SealError
from fleet.verbs import renew_ring, seal
from fleet.verbs.intake import Origin, receive
from fleet.verbs.mend_keys import mend_keys
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db

PUSH = Origin(How.PUSH, "controller")


@pytest.fixture
def mesh():
    return make.mesh()


@pytest.fixture
def body(mesh) -> SealedBody:
    return SealedBody.objects.get(snapshot=receive(mesh, document(mesh), PUSH, make.NOW).snapshot)


def damaged() -> list[str]:
    return [looked.what for looked in verify() if looked.wrong]


def test_the_journal_names_the_keys_that_left_and_holds_no_key(body):
    before = keyring.load()

    renew_ring.renew("Orla", make.NOW)

    details = JournalEntry.objects.get(what="key ring renewed").details
    assert details["dropped"] == [before.active]
    assert before.wrapping_key(before.active).hex() not in str(details)


def test_a_ring_of_several_keys_is_a_renewal_to_finish(body):
    began = keyring.add_key()

    renewal = renew_ring.renew("Orla", make.NOW)

    assert (renewal.made, renewal.ring_key, renewal.wrapped) == (False, began.active, 1)
    assert list(keyring.load().wrapping) == [began.active]


def test_one_renewal_at_a_time(body):
    with keyring.held(), pytest.raises(keyring.KeyRingError, match="being renewed at this moment"):
        renew_ring.renew("Orla", make.NOW)

    assert renew_ring.renew("Orla", make.NOW).made


def test_a_draft_that_a_killed_process_left_goes_with_the_old_key(body, settings):
    draft = settings.KEYRING_FILE.with_name(".keyring.json.0a1b2c3d")
    draft.write_bytes(settings.KEYRING_FILE.read_bytes())

    renew_ring.renew("Orla", make.NOW)

    assert not draft.exists()


def test_a_data_key_without_its_ring_key_stops_it_and_nothing_is_dropped(body):
    make.data_key(make.client(), ring_key="ring-of-another-book")
    before = keyring.load().active

    with pytest.raises(keyring.KeyRingError, match="ring-of-another-book"):
        renew_ring.renew("Orla", make.NOW)

    assert before in set(keyring.load().wrapping)


def test_a_data_key_made_just_before_the_old_ring_key_goes_is_wrapped_anew(body, monkeypatch):
    """Another process has read the ring, and writes its row after the pass and before the end."""
    real, late = renew_ring._pass, []

    def with_a_latecomer(ring, progress):
        wrapped = real(ring, progress)
        if not late:
            (old,) = set(ring.wrapping) - {ring.active}
            plain = seal.sealing.new_data_key(bytes(range(32)))
            wrapping = ring.wrapping_key(old)
            late.append(
                make.data_key(make.client(), ring_key=old, wrapped=seal.sealing.wrap(wrapping, plain))
            )
        return wrapped

    monkeypatch.setattr(renew_ring, "_pass", with_a_latecomer)

    renewal = renew_ring.renew("Orla", make.NOW)

    late[0].refresh_from_db()
    assert renewal.wrapped == 2
    assert unwrapped(late[0]) == bytes(range(32))


def test_a_data_key_made_just_after_the_old_ring_key_went_is_wrapped_by_the_new_one(mesh, monkeypatch):
    """The ring is renewed between reading it and writing the row."""
    real = seal.sealing.wrap

    def and_then_the_ring_is_renewed(*given):
        monkeypatch.setattr(seal.sealing, "wrap", real)
        wrapped = real(*given)
        renew_ring.renew("Orla", make.NOW)
        return wrapped

    monkeypatch.setattr(seal.sealing, "wrap", and_then_the_ring_is_renewed)

    row = seal.data_key_for(mesh, make.NOW)

    assert DataKey.objects.get().ring_key == keyring.load().active
    assert unwrapped(row) == unwrapped(DataKey.objects.get())


def test_a_row_that_was_read_before_the_renewal_still_opens(mesh, body):
    row = SealedBody.objects.select_related("data_key", "snapshot__mesh").get(pk=body.pk)

    renew_ring.renew("Orla", make.NOW)

    assert open_body(row) == document(mesh)


@pytest.mark.parametrize("bit", [0, 63, 64, 200, 319])
def test_one_flipped_bit_in_a_data_key_is_named_and_costs_nothing(mesh, body, bit):
    _flip(DataKey.objects.get(), bit)

    assert damaged() == [f"data key of {mesh.site.client}"]
    assert open_body(SealedBody.objects.get(pk=body.pk)) == document(mesh)
    assert mend_keys("Orla", make.NOW + timedelta(days=1)) == [f"data key of {mesh.site.client}"]
    assert damaged() == []


def test_a_renewal_puts_a_flipped_bit_right(mesh, body):
    _flip(DataKey.objects.get(), 17)

    renew_ring.renew("Orla", make.NOW)

    assert damaged() == []
    assert open_body(SealedBody.objects.get(pk=body.pk)) == document(mesh)


def test_more_damage_than_a_bit_is_named_and_left_as_it_is(mesh, body):
    row = DataKey.objects.get()
    _flip(row, 17)
    _flip(row, 18)
    before = bytes(DataKey.objects.get().wrapped)

    assert mend_keys("Orla", make.NOW) == []
    assert bytes(DataKey.objects.get().wrapped) == before
    with pytest.raises(SealError, match="more than one bit"):
        open_body(SealedBody.objects.get(pk=body.pk))
    with pytest.raises(SealError):
        renew_ring.renew("Orla", make.NOW)


def _flip(row: DataKey, bit: int) -> None:
    octets = bytearray(bytes(row.wrapped))
    octets[bit // 8] ^= 1 << bit % 8
    row.wrapped = bytes(octets)
    row.save(update_fields=["wrapped"])
