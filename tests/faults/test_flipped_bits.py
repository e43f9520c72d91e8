"""One flipped bit in each kind of sealed row: it is named, costs at most that row, and the command says so."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import BaseCopy, DataKey, How, InstallCode, Mesh, SealedBody
from fleet.queries.sealed import open_base_copy, open_body, open_code
from fleet.queries.verify import count_sealed, verify
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.verbs import install_codes
from fleet.verbs.intake import Origin, receive
from fleet.verbs.repack import repack
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
PUSH = Origin(How.PUSH, "controller")
INSTALL_CODE = "83FED3407A939723A5C639B26916D505 C3B5"  # the Zigbee specification's own sample
# The version octet, the nonce, the first and the last of the cipher text, the tag.
PLACES = (0, 1, 12, 13, -17, -16, -1)
KINDS = {
    "copy packed against a base": lambda: SealedBody.objects.exclude(base=None).first(),
    "newest copy": lambda: SealedBody.objects.filter(base=None).exclude(snapshot=None).get(),
    "other octets of one meaning": lambda: SealedBody.objects.exclude(arrival=None).get(),
    "tray item": lambda: SealedBody.objects.exclude(tray_item=None).get(),
    "first copy of a base": lambda: BaseCopy.objects.get(place=1),
    "second copy of a base": lambda: BaseCopy.objects.get(place=2),
    "install code": lambda: InstallCode.objects.get(),
}


@pytest.fixture
def mesh(db) -> Mesh:
    """A mesh with a row of every kind."""
    network = make.mesh()
    for day in range(3):
        taken_at = make.NOW - DAY * (3 - day)
        body = document(network, taken_at, outgoing_counter=1_000_000 + day * 200_000)
        receive(network, body, PUSH, taken_at)
    receive(network, body.replace(b'"version":1', b'"version": 1'), PUSH, make.NOW)
    receive(network, b"not a document", PUSH, make.NOW)
    repack(network, make.NOW)
    install_codes.enter(network.nodes.first(), INSTALL_CODE, "Noor", make.NOW)
    return network


def flipped(octets: bytes, place: int) -> bytes:
    changed = bytearray(octets)
    changed[place] ^= 0x10
    return bytes(changed)


def lost() -> list[str]:
    """Every row that no longer opens, by its own number."""
    gone = []
    for model, opened in ((SealedBody, open_body), (BaseCopy, _open_copy), (InstallCode, open_code)):
        for row in model.objects.all():
            try:
                opened(row)
            except (SealError, PackError):
                gone.append(f"{model.__name__} {row.pk}")
    return gone


def _open_copy(copy: BaseCopy) -> bytes:
    return open_base_copy(copy.base, copy)


def command() -> str:
    out = StringIO()
    with pytest.raises(CommandError, match="1 sealed rows are damaged"):
        call_command("sealed", "verify", stdout=out, stderr=StringIO())
    return out.getvalue()


def test_there_is_a_row_of_every_kind_and_all_open(mesh):
    assert count_sealed() == len(list(verify())) == 9
    assert [looked.what for looked in verify() if looked.wrong] == []


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("kind", KINDS)
def test_one_flipped_bit_is_named_and_costs_that_row_alone(mesh, kind, place):
    row = KINDS[kind]()
    type(row).objects.filter(pk=row.pk).update(sealed=flipped(bytes(row.sealed), place))

    named = [looked for looked in verify() if looked.wrong]

    assert len(named) == 1
    assert mesh.code in named[0].what
    assert lost() == [f"{type(row).__name__} {row.pk}"]


@pytest.mark.parametrize("kind", KINDS)
def test_the_command_names_it_and_ends_with_an_error(mesh, kind):
    row = KINDS[kind]()
    type(row).objects.filter(pk=row.pk).update(sealed=flipped(bytes(row.sealed), 20))

    said = command()

    assert "1 damaged" in said
    assert mesh.code in said


def test_in_a_data_key_it_costs_nothing_at_all(mesh):
    row = DataKey.objects.get()
    DataKey.objects.filter(pk=row.pk).update(wrapped=flipped(bytes(row.wrapped), 20))

    assert lost() == []
    assert "data key of" in command()


@pytest.mark.parametrize("kind", KINDS)
def test_a_row_that_is_cut_off_is_found_too(mesh, kind):
    row = KINDS[kind]()
    type(row).objects.filter(pk=row.pk).update(sealed=bytes(row.sealed)[:10])

    assert "cut off" in command()
