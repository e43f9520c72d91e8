"""The second person of a command: named by --second, proven by a password that is never an argument."""

import sys
from collections.abc import Callable
from datetime import date
from getpass import getpass
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils import timezone

from fleet.verbs.second_at_terminal import SecondRefused, second_at_terminal
from sites import access
from sites.models import Person

LONGEST = 4096
WHO = {
    access.may_change: "somebody of the firm who may change the book",
    access.may_decide: "the owner or somebody of the office",
}


def add_second(parser: CommandParser, what: str) -> None:
    """--second and where their password comes from. what: for the help, such as "who agrees"."""
    parser.add_argument(
        "--second",
        default="",
        metavar="USER",
        help=f"user name of the second person, {what}; asks for their password",
    )
    parser.add_argument(
        "--second-password-file",
        metavar="FILE",
        help="read the second person's password from there, - for standard input, instead of asking",
    )


def second_named(options: dict[str, Any], allowed: Callable[[Person, date], bool]) -> Person | None:
    """The person behind --second, proven; None where nobody was named. CommandError where it is not they."""
    name = options["second"].strip()
    if not name:
        if options["second_password_file"]:
            raise CommandError("--second-password-file: whose it is must be said by --second USER.")
        return None
    password = _password(name, options["second_password_file"])
    try:
        return second_at_terminal(name, password, options["by"], allowed, timezone.now())
    except SecondRefused as error:
        raise CommandError(
            f"Nothing was done. --second {name}: {error} Right is the user name and password of {WHO[allowed]}, other "
            f"than --by {options['by'] or 'NAME'}."
        ) from None


def _password(name: str, path: str | None) -> str:
    if path is None:
        if not sys.stdin.isatty():
            raise CommandError(
                f"--second {name}: nobody is there to type the password; --second-password-file FILE (or -) reads it."
            )
        return getpass(f"Password of {name}, typed by themselves: ")
    try:
        text = sys.stdin.read(LONGEST) if path == "-" else _read(Path(path))
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is no text in UTF-8"
        raise CommandError(f"--second-password-file {path} cannot be read: {why}") from None
    return text.removesuffix("\n").removesuffix("\r")


def _read(path: Path) -> str:
    with path.open(encoding="utf-8") as file:
        return file.read(LONGEST)
