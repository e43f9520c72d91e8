import json
import os
import stat
from pathlib import Path

import pytest

from fleet import keyring


def ring_file(settings) -> Path:
    return Path(settings.KEYRING_FILE)


def test_the_ring_is_made_on_first_use_for_its_owner_only(settings):
    ring = keyring.load()

    assert stat.S_IMODE(ring_file(settings).stat().st_mode) == 0o600
    assert len(ring.wrapping_key(ring.active)) == 32


def test_the_ring_is_the_same_the_next_time():
    assert keyring.load() == keyring.load()


def test_two_books_have_different_rings(settings, tmp_path):
    first = keyring.load()
    settings.KEYRING_FILE = tmp_path / "other" / "keyring.json"

    assert keyring.load().digest_key != first.digest_key


def test_a_ring_that_others_can_read_is_refused(settings):
    keyring.load()
    os.chmod(settings.KEYRING_FILE, 0o644)
    keyring._loaded.clear()

    with pytest.raises(keyring.KeyRingError, match="0600"):
        keyring.load()


def test_a_damaged_ring_is_refused_and_kept_as_it_is(settings):
    keyring.load()
    ring_file(settings).write_text("{not json")
    keyring._loaded.clear()

    with pytest.raises(keyring.KeyRingError, match="damaged"):
        keyring.load()
    assert ring_file(settings).read_text() == "{not json"


def test_a_short_key_is_refused(settings):
    keyring.load()
    content = json.loads(ring_file(settings).read_text())
    content["digest"] = "00" * 16
    ring_file(settings).write_text(json.dumps(content))
    keyring._loaded.clear()

    with pytest.raises(keyring.KeyRingError, match="32 octets"):
        keyring.load()


def test_old_keys_can_be_dropped_and_the_rest_stays(settings):
    digest_key = keyring.load().digest_key
    newer = keyring.add_key()

    ring = keyring.drop_old_keys()

    assert list(ring.wrapping) == [newer.active]
    assert ring.wrapping_key(newer.active) == newer.wrapping_key(newer.active)
    assert ring.digest_key == digest_key
    assert stat.S_IMODE(ring_file(settings).stat().st_mode) == 0o600


def test_two_changes_within_one_tick_of_the_clock_are_both_seen(settings):
    names = set()
    for _ in range(50):
        names.add(keyring.add_key().active)
        keyring.drop_old_keys()
        assert list(keyring.load().wrapping) == [keyring.load().active]

    assert len(names) == 50


def test_a_missing_key_is_named():
    with pytest.raises(keyring.KeyRingError, match="ring-gone"):
        keyring.load().wrapping_key("ring-gone")


def test_no_key_shows_in_the_rings_own_text():
    ring = keyring.load()

    assert ring.digest_key.hex() not in repr(ring)
    assert ring.wrapping_key(ring.active).hex() not in repr(ring)
