"""Send a home's snapshot file to the book whenever it changes; what cannot be sent waits, and goes in order later.

python3 collector.py SNAPSHOT_FILE QUEUE_FOLDER PUSH_ADDRESS TOKEN_FILE   (Python 3.9 or newer, no packages)
It only calls out (no open port). Keep QUEUE_FOLDER and TOKEN_FILE readable by its own user alone.
"""

import hashlib
import os
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

EVERY_SECONDS, KEEP_SECONDS = 60, 7 * 24 * 3600
TAKEN = {200, 201, 202, 409, 422}  # the book has the document: stored, or in its tray with the reason


def gather(source: Path, queue: Path, last: str) -> str:
    """Put the file into the queue if it changed; a file that is still being written is left for the next turn."""
    body = source.read_bytes()
    digest = hashlib.sha256(body).hexdigest()
    if digest == last or not body or time.time() - source.stat().st_mtime < 2:
        return last
    draft = queue / f".{digest}"
    draft.write_bytes(body)
    draft.chmod(0o600)
    os.replace(draft, queue / f"{time.time_ns():020d}-{digest[:16]}.json")
    return digest


def send(path: Path, address: str, token: str) -> int:
    headers = {
        "Authorization": f"Bearer {token}",
        "Content-Type": "application/json",
        "X-File-Name": path.name,
    }
    request = urllib.request.Request(address, path.read_bytes(), headers, method="POST")
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.status
    except urllib.error.HTTPError as error:
        return error.code


def main(source: Path, queue: Path, address: str, token_file: Path, last: str = "") -> None:
    queue.mkdir(mode=0o700, parents=True, exist_ok=True)
    while True:
        try:
            last = gather(source, queue, last)
            for path in sorted(queue.glob("*.json")):
                status = send(path, address, token_file.read_text().strip())
                if status in TAKEN or time.time() - path.stat().st_mtime > KEEP_SECONDS:
                    path.unlink()
                else:
                    print(f"{path.name}: the book answered {status}; it waits", file=sys.stderr)
                    break
        except OSError as error:  # no network, no file yet: wait and try again
            print(f"waiting: {error}", file=sys.stderr)
        time.sleep(EVERY_SECONDS)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], Path(sys.argv[4]))
