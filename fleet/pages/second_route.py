"""The second way in which people learn that rounds have stopped: pages are served by no worker."""

import threading

from django.db import connection
from django.utils import timezone

from fleet.verbs.send import send_due
from fleet.verbs.tell_of_stop import tell_of_stop


def notice_stopped_rounds() -> None:
    """Where no round has ended for a day: write the urgent message here, and send it, as no job may be alive to."""
    if tell_of_stop(timezone.now()):
        # The reader of the page does not wait for a mail server.
        threading.Thread(target=_send, name="urgent message", daemon=True).start()


def _send() -> None:
    try:
        send_due(timezone.now)
    finally:
        connection.close()
