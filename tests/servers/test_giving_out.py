"""Many people give a copy of one mesh out at once: no two radios may ever start from one number."""

import threading
from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.mesh.counters import MARGIN
from fleet.models import CounterEvidence, How
from fleet.snapshots.decoding import decode
from fleet.verbs.intake import Origin, receive
from tests import make
from tests.documents import document

pytestmark = pytest.mark.django_db(transaction=True)


def test_twenty_people_who_press_at_once_get_twenty_numbers():
    mesh = make.mesh()
    taken_at = timezone.now() - timedelta(hours=1)
    receive(mesh, document(mesh, taken_at), Origin(How.PUSH, "controller"), taken_at)
    make.spare(code="A2-0110")
    people = [make.person() for _ in range(20)]
    together = threading.Barrier(len(people))
    answers = []

    def press(person) -> None:
        client = Client()
        client.force_login(person)
        said = {"radio": "another", "other": "A2-0110", "reason": "the radio is dead"}
        try:
            together.wait()
            answers.append(client.post(reverse("restore", args=[mesh.code]), said))
        finally:
            connection.close()

    threads = [threading.Thread(target=press, args=[person]) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    written = sorted(decode(answer.content)["security"]["outgoingCounter"] for answer in answers)
    granted = CounterEvidence.objects.filter(kind="restore").order_by("value")
    assert written == list(granted.values_list("value", flat=True))
    assert len(written) == len(people)
    assert all(higher - lower >= MARGIN for lower, higher in pairwise(written))
