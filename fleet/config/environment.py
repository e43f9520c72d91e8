"""Reads the process environment: words, numbers, booleans, lists, and secrets kept in files of the data folder."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

from fleet.planning import reaching

ROOT = Path(__file__).resolve().parents[2]
TRUE = frozenset({"1", "true", "yes", "on"})
FALSE = frozenset({"0", "false", "no", "off", ""})


def word(name: str, default: str) -> str:
    """The variable as it stands, stripped, or the default where it is absent or empty."""
    return os.environ.get(name, "").strip() or default


def number(name: str, default: int, least: int = 0, most: int | None = None) -> int:
    """A whole number within bounds; anything else stops the start with a sentence."""
    text = word(name, str(default))
    try:
        value = int(text)
    except ValueError:
        raise ImproperlyConfigured(
            f"{name} is {text!r}; a whole number such as {default} is needed."
        ) from None
    if value < least or (most is not None and value > most):
        bounds = f"from {least} to {most}" if most is not None else f"of {least} or more"
        raise ImproperlyConfigured(f"{name} is {value}; a whole number {bounds} is needed.")
    return value


def switch(name: str, default: bool) -> bool:
    """1/true/yes/on or 0/false/no/off."""
    text = word(name, "on" if default else "off").lower()
    if text in TRUE:
        return True
    if text in FALSE:
        return False
    raise ImproperlyConfigured(f"{name} is {text!r}; use on or off.")


def words(name: str, default: str) -> list[str]:
    """A comma-separated list without blanks."""
    return [part.strip() for part in word(name, default).split(",") if part.strip()]


def address(name: str) -> str:
    """An http(s) address, or empty where none is told."""
    text = word(name, "")
    try:
        if text:
            reaching.target(text)
    except reaching.ReachError as error:
        raise ImproperlyConfigured(f"{name}: {error}") from None
    return text


def networks(name: str) -> tuple[reaching.Network, ...]:
    """A comma-separated list of networks, such as 10.0.0.0/8."""
    try:
        return reaching.networks(words(name, ""))
    except reaching.ReachError as error:
        raise ImproperlyConfigured(f"{name}: {error}") from None


def home() -> Path:
    """The data folder (SPAREBOOK_HOME, default var/ beside manage.py), made on first use for its owner only."""
    folder = Path(word("SPAREBOOK_HOME", str(ROOT / "var"))).expanduser().resolve()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def folder(name: str) -> Path:
    """A folder in the data folder, made on first use."""
    path = home() / name
    path.mkdir(mode=0o700, exist_ok=True)
    return path


def kept_secret(name: str, file: Path) -> str:
    """A secret from the variable, else from the file, which is made once."""
    return os.environ.get(name, "").strip() or made_once(file)


def made_once(file: Path) -> str:
    """The secret in the file; the first call makes it, at random and for its owner only (mode 0600)."""
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return file.read_text(encoding="ascii").strip()
    with os.fdopen(handle, "w", encoding="ascii") as out:
        value = secrets.token_urlsafe(48)
        out.write(value + "\n")
        return value
