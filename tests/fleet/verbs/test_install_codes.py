"""Install codes: sealed when entered, shown for a reason, gone when forgotten, and never written in clear."""

import logging

import pytest
from django.db import connection

from fleet import keyring
from fleet.mesh.install_codes import InstallCodeError, link_key_of
from fleet.models import DataKey, InstallCode, JournalEntry, Node
from fleet.queries.verify import count_sealed, verify
from fleet.verbs import renew_ring
from fleet.verbs.install_codes import CodeRefused, Kept, enter, forget, reveal
from tests import codes, make

pytestmark = pytest.mark.django_db


@pytest.fixture
def node() -> Node:
    return make.node(make.mesh())


@pytest.fixture
def held(node) -> Node:
    enter(node, codes.printed(), "Noor", make.NOW)
    return node


def damaged() -> list[str]:
    return [looked.what for looked in verify() if looked.wrong]


def flip(row: InstallCode) -> None:
    octets = bytearray(bytes(row.sealed))
    octets[-20] ^= 1
    row.sealed = bytes(octets)
    row.save(update_fields=["sealed"])


def everything_written() -> bytes:
    """Every value of every table, one after the other."""
    found = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            for row in cursor.fetchall():
                found += [bytes(v) if isinstance(v, (bytes, memoryview)) else str(v).encode() for v in row]
    return b"\n".join(found)


def test_a_code_comes_back_with_its_key_for_a_reason(held):
    shown = reveal(held, "the alarm was reset", "Noor", make.NOW)

    assert (shown.code, shown.link_key) == (codes.octets(), link_key_of(codes.octets()))


@pytest.mark.parametrize("size", [6, 8, 12, 16])
def test_a_code_of_every_length_comes_back(node, size):
    enter(node, codes.printed(size=size), "Noor", make.NOW)

    assert reveal(node, "to join it again", "Noor", make.NOW).code == codes.octets(size=size)


def test_who_entered_it_and_when_is_kept(held):
    row = InstallCode.objects.get()

    assert (row.node, row.entered_by, row.entered_at) == (held, "Noor", make.NOW)


def test_a_code_that_cannot_be_right_is_refused_and_the_one_held_stays(held):
    wrong = codes.printed("two")[:-1] + ("0" if codes.printed("two")[-1] != "0" else "1")

    with pytest.raises(InstallCodeError, match="group 9 of 9"):
        enter(held, wrong, "Noor", make.NOW)
    assert reveal(held, "to see", "Noor", make.NOW).code == codes.octets()


def test_another_code_takes_the_place_of_the_one_held(held):
    assert enter(held, codes.printed("two"), "Pekka", make.NOW) is Kept.REPLACED

    assert InstallCode.objects.get().entered_by == "Pekka"
    assert reveal(held, "to see", "Noor", make.NOW).code == codes.octets("two")


def test_the_same_code_again_changes_nothing_and_is_not_noted(held):
    before = InstallCode.objects.get().uid

    assert enter(held, codes.printed().lower(), "Pekka", make.NOW) is Kept.SAME
    assert InstallCode.objects.get().uid == before
    assert JournalEntry.objects.count() == 1


@pytest.mark.parametrize("reason", ["", "   "])
def test_nothing_is_shown_or_forgotten_without_a_reason(held, reason):
    for act in (reveal, forget):
        with pytest.raises(CodeRefused, match="reason is needed"):
            act(held, reason, "Noor", make.NOW)
    assert InstallCode.objects.count() == 1


def test_a_code_or_key_typed_as_the_reason_never_reaches_the_journal(held):
    for secret in (
        codes.printed(),
        link_key_of(codes.octets()).hex(),
        "joined with " + codes.octets().hex(":"),
    ):
        with pytest.raises(CodeRefused, match="words only"):
            reveal(held, secret, "Noor", make.NOW)
    assert JournalEntry.objects.count() == 1


@pytest.mark.parametrize(
    "reason", ["joined again as 024F 1B00 0000 0011, 2027-03-26 08:00", "a bad cafe facade"]
)
def test_a_reason_in_words_may_name_a_device_and_a_day(held, reason):
    assert reveal(held, reason, "Noor", make.NOW).code == codes.octets()


def test_every_act_leaves_one_line_that_names_device_and_reason(held):
    reveal(held, "the alarm was reset", "Pekka", make.NOW)
    forget(held, "the device went to the tip", "Orla", make.NOW)

    lines = JournalEntry.objects.filter(subject=held.mesh.code).order_by("pk")
    device = {"device": held.extended_address}
    assert [(line.who, line.what, line.details) for line in lines] == [
        ("Noor", "install code entered", device),
        ("Pekka", "install code shown", {**device, "reason": "the alarm was reset"}),
        ("Orla", "install code forgotten", {**device, "reason": "the device went to the tip"}),
    ]


def test_a_forgotten_code_is_gone(held):
    forget(held, "entered for the wrong device", "Noor", make.NOW)

    with pytest.raises(CodeRefused, match="No install code is held"):
        reveal(held, "to see", "Noor", make.NOW)


def test_neither_code_nor_key_stands_in_any_column_or_log(held, caplog):
    with caplog.at_level(logging.DEBUG):
        enter(held, codes.printed("two"), "Noor", make.NOW)
        reveal(held, "to see", "Noor", make.NOW)

    written = everything_written() + caplog.text.encode()
    assert held.extended_address.encode() in written
    assert codes.found_in(written, "one", "two") == []
    assert (
        codes.found_in(written + codes.printed().encode()) != []
    )  # what was looked for would have been seen


def test_what_is_shown_has_no_secret_in_its_own_text(held):
    assert codes.found_in(repr(reveal(held, "to see", "Noor", make.NOW))) == []


def test_octets_moved_to_another_device_do_not_open(held):
    other = make.node(held.mesh)
    enter(other, codes.printed("two"), "Noor", make.NOW)
    mine, theirs = held.install_code, other.install_code
    InstallCode.objects.filter(pk=theirs.pk).update(sealed=bytes(mine.sealed), mark=bytes(mine.mark))

    with pytest.raises(CodeRefused, match="does not open"):
        reveal(other, "to see", "Noor", make.NOW)


def test_one_flipped_bit_is_found_by_verify_and_named(held):
    flip(InstallCode.objects.get())

    assert count_sealed() == len(list(verify()))
    assert damaged() == [f"{held.mesh.code} install code of {held.extended_address}"]


def test_a_sealed_code_under_the_mark_of_another_is_found_by_verify(held):
    InstallCode.objects.update(mark=bytes(32))

    assert len(damaged()) == 1


def test_entering_the_code_again_mends_a_damaged_row(held):
    flip(InstallCode.objects.get())

    assert enter(held, codes.printed(), "Noor", make.NOW) is Kept.REPLACED
    assert damaged() == []


def test_a_renewed_ring_opens_every_code(held):
    renew_ring.renew("Orla", make.NOW)

    assert reveal(held, "to see", "Noor", make.NOW).code == codes.octets()
    assert damaged() == []


def test_without_its_ring_no_code_opens(held, settings, tmp_path):
    settings.KEYRING_FILE = tmp_path / "another" / "keyring.json"
    keyring.load()

    with pytest.raises(CodeRefused, match="does not open"):
        reveal(held, "to see", "Noor", make.NOW)


@pytest.fixture
def erased(held) -> Node:
    DataKey.objects.update(wrapped=None, destroyed_at=make.NOW)
    return held


def test_with_the_clients_data_key_every_code_is_gone(erased):
    with pytest.raises(CodeRefused, match="does not open"):
        reveal(erased, "to see", "Noor", make.NOW)
    assert damaged() == []  # destroyed on purpose


def test_no_code_is_sealed_for_a_client_who_was_erased(erased):
    with pytest.raises(CodeRefused):
        enter(erased, codes.printed("two"), "Noor", make.NOW)
    assert InstallCode.objects.count() == 1
