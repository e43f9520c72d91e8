"""Erasing a client and renewing the ring while documents come in: what only a real PostgreSQL can show."""

import threading
import time
from datetime import timedelta
from functools import partial

import pytest
from django.db import transaction
from django.utils import timezone

from fleet import keyring
from fleet.models import Custody, DataKey, Erasure, How, SealedBody, Snapshot, TrayItem
from fleet.queries.sealed import Erased
from fleet.queries.verify import verify
from fleet.verbs.erase import EraseRefused, erase_client
from fleet.verbs.intake import Origin, receive
from fleet.verbs.renew_ring import renew
from fleet.verbs.seal import data_key_for
from tests import make
from tests.documents import document
from tests.servers.together import together

pytestmark = pytest.mark.django_db(transaction=True)

PUSH = Origin(How.PUSH, "controller")
HOUR = timedelta(hours=1)
TURNS = 10


def test_nothing_that_comes_in_while_a_client_is_erased_is_left_behind():
    for turn in range(TURNS):
        mesh = make.mesh()
        now = timezone.now()
        bodies = [document(mesh, now - HOUR * hour, outgoing_counter=9_000_000 - hour) for hour in range(4)]
        bodies += [b"no document %d" % turn, b'{"layout": "of nobody"}']
        if turn % 2:
            receive(mesh, document(mesh, now - 9 * HOUR, outgoing_counter=1), PUSH, now)

        raised = together(
            partial(erase_client, mesh.site.client, "the agreement ended", "Orla", "Noor", now),
            *(partial(receive, mesh, body, PUSH, now) for body in bodies),
        )

        assert {type(error) for error in raised} <= {Erased}
        assert DataKey.objects.get(client=mesh.site.client).wrapped is None
        assert not SealedBody.objects.filter(data_key__client=mesh.site.client).exists()
        assert not Snapshot.objects.filter(mesh=mesh).exclude(custody=Custody.GONE).exists()
        assert not TrayItem.objects.filter(mesh=mesh, cleared_at=None).exists()


def test_of_two_who_erase_one_client_at_once_one_does():
    mesh = make.mesh()

    raised = together(
        *(
            partial(erase_client, mesh.site.client, "the agreement ended", by, "Noor", timezone.now())
            for by in ("Orla", "Tilda")
        )
    )

    assert [type(error) for error in raised] == [EraseRefused]
    assert Erasure.objects.count() == 1


def test_new_clients_data_keys_outlive_renewals_that_go_on_meanwhile():
    for _ in range(TURNS):
        meshes = [make.mesh() for _ in range(6)]
        now = timezone.now()

        raised = together(
            partial(renew, "Orla", now),
            *(partial(receive, mesh, document(mesh, now), PUSH, now) for mesh in meshes),
        )

        assert raised == []
        assert list(keyring.load().wrapping) == [keyring.load().active]
    assert [looked.what for looked in verify() if looked.wrong] == []
    assert Snapshot.objects.count() == 6 * TURNS


def test_a_renewal_waits_for_a_data_key_that_somebody_is_making():
    """Dropping the old ring key before the row is there would lose the data key for good."""
    mesh, now = make.mesh(), timezone.now()
    made = threading.Event()

    def make_one_slowly() -> None:
        with transaction.atomic():
            data_key_for(mesh, now)
            made.set()
            time.sleep(1)

    def renew_meanwhile() -> None:
        made.wait()
        renew("Orla", now)

    assert together(make_one_slowly, renew_meanwhile) == []
    assert DataKey.objects.get().ring_key == keyring.load().active
    assert [looked.what for looked in verify() if looked.wrong] == []
