"""A book of its own in the folder SPAREBOOK_HOME, made by a process of its own: `python -m tests.faults.fill N`.

Prints as JSON what a test needs to know: the code of a mesh without a copy, and a push token for it; and for each of
N data keys its clear octets, by its uid, to check later whether it still opens. A few of them seal a document.
"""

import json
import os
import sys
from collections.abc import Iterator

import django

DOCUMENTS = 10


def main(keys: int) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.config.settings")
    django.setup()
    from django.core.management import call_command
    from django.db import transaction

    call_command("migrate", verbosity=0)
    with transaction.atomic():
        print(json.dumps({**_pushing(), "data_keys": {uid: key.hex() for uid, key in _data_keys(keys)}}))


def _pushing() -> dict[str, str]:
    from django.utils import timezone

    from fleet.verbs import push_tokens
    from tests import make

    mesh = make.mesh(site=make.site(code="KELP-7"), head_address=None, extended_pan_id=None)
    _, token = push_tokens.make(mesh, "controller", "Orla", timezone.now())
    return {"code": mesh.code, "token": token}


def _data_keys(count: int) -> Iterator[tuple[str, bytes]]:
    from django.utils import timezone

    from fleet import keyring
    from fleet.models import DataKey, How
    from fleet.queries.sealed import plain_data_key
    from fleet.snapshots import sealing
    from fleet.verbs.intake import Origin, receive
    from tests import make
    from tests.documents import document

    ring, now = keyring.load(), timezone.now()
    for _ in range(DOCUMENTS):
        mesh = make.mesh()
        receive(mesh, document(mesh, now), Origin(How.COMMAND, "Noor"), now)
    for _ in range(count - DOCUMENTS):
        wrapped = sealing.wrap(ring.wrapping_key(ring.active), os.urandom(32))
        make.data_key(make.client(), ring_key=ring.active, wrapped=wrapped)
    for row in DataKey.objects.all():
        yield str(row.uid), plain_data_key(row)


if __name__ == "__main__":
    main(int(sys.argv[1]))
