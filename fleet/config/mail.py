"""Mail without a mail server: each message is a file that any mail program opens."""

import re
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

NOT_IN_A_NAME = re.compile(r"[^A-Za-z0-9-]+")


class FilesBackend(BaseEmailBackend):
    """Writes each message into MESSAGES_FOLDER, named by its Message-ID: sent twice, it is still one file."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        for message in email_messages:
            mail = message.message()
            name = NOT_IN_A_NAME.sub("-", mail["Message-ID"]).strip("-")
            path = Path(settings.MESSAGES_FOLDER) / f"{name}.eml"
            path.write_bytes(mail.as_bytes(linesep="\n"))
            path.chmod(0o600)
        return len(email_messages)
