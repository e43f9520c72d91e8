"""Keeps the secret of a calendar's address out of whatever logs the address of a request.

Django's own lines of errors hold the path only, which has no secret in it; a web server's line of access holds the
query too. See `fleet.verbs.feeds` for why this one secret stands in an address.
"""

import logging
import re

from fleet.verbs.feeds import KEY

TOKEN = re.compile(rf"(?<![A-Za-z0-9_-])({KEY}=)[^\s&\"']+")
ACCESS_LOGS = ("gunicorn.access", "django.server")


class WithoutKeys(logging.Filter):
    """Writes "..." for the secret in a record's words; lets every record through."""

    def filter(self, record: logging.LogRecord) -> bool:
        said = record.getMessage()
        if f"{KEY}=" in said:
            record.msg, record.args = TOKEN.sub(r"\1...", said), None
        return True


def keep_out_of_access_logs() -> None:
    """Lay the filter on the logs of the web servers that serve this book."""
    for name in ACCESS_LOGS:
        logging.getLogger(name).addFilter(WithoutKeys())
