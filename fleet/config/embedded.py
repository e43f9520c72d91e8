"""The embedded mode: a Celery worker and its schedule inside this one process, and a small web server.

The same tasks and the same schedule as in production; only the queue is in memory. It forgets everything at
exit, which is safe: whatever is due is found again from the rows.
"""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from celery.beat import EmbeddedService
from celery.platforms import EX_OK
from celery.worker import state
from django.core.wsgi import get_wsgi_application
from waitress import create_server

from fleet.config.celery import app

PATIENCE_SECONDS = 10


@contextmanager
def background_jobs() -> Iterator[None]:
    """Run the worker and the schedule in threads until the block ends."""
    worker = app.WorkController(
        app=app,
        hostname="embedded@sparebook",
        pool="solo",
        concurrency=1,
        without_heartbeat=True,
        without_mingle=True,
        without_gossip=True,
    )
    work = threading.Thread(target=worker.start, name="jobs", daemon=True)
    schedule = EmbeddedService(app, thread=True, max_interval=5)
    work.start()
    schedule.start()
    try:
        yield
    finally:
        # The worker's own thread sees this between two jobs and takes itself down. Both threads are daemons: one
        # that is deep in a job does not hold up Ctrl-C, and the job is found again from the rows.
        state.should_terminate = EX_OK
        schedule.service.stop()
        work.join(PATIENCE_SECONDS)
        state.should_terminate = None


def serve(host: str, port: int) -> None:
    """Serve the pages with background jobs until Ctrl-C or SIGTERM. Raises OSError where the port is taken."""
    server = create_server(get_wsgi_application(), host=host, port=port, threads=8, ident=None)
    # A shell that starts this in the background has it ignore Ctrl-C; both signals must end it all the same.
    for ending in (signal.SIGINT, signal.SIGTERM):
        signal.signal(ending, signal.default_int_handler)
    with background_jobs():
        # waitress ends its loop on KeyboardInterrupt and closes what is open.
        server.run()
