"""A book in a folder of its own, on SQLite, that tests reach as the world does: by processes and sockets."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

PATIENCE_SECONDS = 120


@dataclass(frozen=True, slots=True)
class Book:
    """Its folder, a mesh that may be pushed to with the token, and every data key in clear by its uid."""

    home: Path
    code: str
    token: str = field(repr=False)
    data_keys: dict[str, str] = field(repr=False)

    @property
    def path(self) -> str:
        """Where the mesh takes documents in."""
        return f"/api/v1/meshes/{self.code}/snapshots/"

    @property
    def database(self) -> Path:
        return self.home / "book.sqlite3"

    @property
    def ring(self) -> Path:
        return self.home / "keyring.json"

    def manage(self, *words: str, **given: str) -> subprocess.Popen[bytes]:
        """A command of the program under way, its output caught; given: more for its environment."""
        command = [sys.executable, "manage.py", *words]
        return subprocess.Popen(
            command, env=told(self.home) | given, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )


def made(home: Path, data_keys: int = 0) -> Book:
    """A new book with so many data keys, some of which seal a document."""
    command = [sys.executable, "-m", "tests.faults.fill", str(data_keys)]
    said = subprocess.run(command, env=told(home), capture_output=True, check=True, timeout=PATIENCE_SECONDS)
    return Book(home, **json.loads(said.stdout))


def told(home: Path) -> dict[str, str]:
    """The environment of every process of the book: nothing of the test's own settings."""
    mine = {name: value for name, value in os.environ.items() if not name.startswith("SPAREBOOK_")}
    return {**mine, "SPAREBOOK_HOME": str(home), "SPAREBOOK_PUSHES_A_MINUTE": "0"}
