"""A round on real PostgreSQL, Redis and Celery processes that are killed at random while it runs (trade rows C-1, O1).

SPAREBOOK_KILLS says how often (6); SPAREBOOK_KILLS_SEED repeats a run, its number is printed.
"""

import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import psycopg
import pytest

from tests.own_servers import (
    ROOT,
    Cluster,
    celery,
    free_port,
    kill_all,
    redis_answers,
    redis_in,
    running,
    wait_for,
)

KILLS = int(os.environ.get("SPAREBOOK_KILLS", "6"))
SEED = int(os.environ.get("SPAREBOOK_KILLS_SEED", random.SystemRandom().randrange(1_000_000)))
HOMES = 40 + 25 * KILLS
LONGEST_SECONDS = 240 + 60 * KILLS

# All that a round writes, told by what stays the same from one run to the next: never by row numbers of new rows,
# random names or the time of a clock.
STATE = {
    "rounds": "SELECT started_at, state, slot, total, done, marked, erased, errors::text FROM fleet_round",
    "meshes": "SELECT code, readiness, readiness_rank, readiness_gate, readiness_reason, readiness_act, minutes_low, "
    "minutes_likely, minutes_high, rejoin_minutes, joins_per_month, best_spare_id, assessed_at FROM fleet_mesh",
    "copies": "SELECT id, grade, currency, custody, holds::text, doomed_at, gone_at, gone_because FROM fleet_snapshot",
    "sealed": "SELECT b.snapshot_id, p.source_id FROM fleet_sealedbody b "
    "LEFT JOIN fleet_packingbase p ON p.id = b.base_id",
    "bases": "SELECT p.mesh_id, p.source_id, r.source_id, p.sha256, count(c.id) FROM fleet_packingbase p "
    "LEFT JOIN fleet_packingbase r ON r.id = p.root_id LEFT JOIN fleet_basecopy c ON c.base_id = p.id "
    "GROUP BY p.id, r.id",
    "findings": "SELECT mesh_id, code, severity, path, message, value, expected, found_at FROM fleet_finding",
    "changes": "SELECT mesh_id, at, was, became, gate, reason FROM fleet_readinesschange",
    "journal": "SELECT who, what, subject, details::text FROM fleet_journalentry",
    "chunks": "SELECT count(*) FROM fleet_roundchunk",
}


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    # Not in pytest's own folders, which are closed to the user that the server runs as.
    with tempfile.TemporaryDirectory(prefix="sparebook-") as folder:
        own = Cluster(Path(folder), free_port())
        own.make()
        own.start()
        yield own
        own.kill()


class Game:
    """One database, one Redis, two workers and a beat, and what may befall each of them."""

    def __init__(self, cluster: Cluster, database: str, folder: Path) -> None:
        self.cluster, self.database, self.folder = cluster, database, folder
        self.redis_port = free_port()
        self.redis = redis_in(folder, self.redis_port)
        env = told(cluster, database, folder) | {"SPAREBOOK_REDIS": f"redis://127.0.0.1:{self.redis_port}/0"}
        self.env = env
        self.workers = [celery("worker", env, name, folder / f"{name}.log") for name in ("north", "south")]
        self.beat = celery("beat", env, "beat", folder / "beat.log")

    def kill_worker(self, draw: random.Random) -> None:
        """With its child, as when a host loses its power."""
        worker = draw.choice(self.workers)
        worker.kill()
        pause(draw)
        worker.start()

    def kill_child(self, draw: random.Random) -> None:
        """Only the process that does the work, as the kernel does for want of memory."""
        kill_all(draw.choice(self.workers).children())

    def kill_redis(self, draw: random.Random) -> None:
        """All messages are lost, those that are being worked on too."""
        self.redis.kill()
        pause(draw)
        self.redis.start()

    def kill_database(self, draw: random.Random) -> None:
        self.cluster.kill()
        pause(draw)
        self.cluster.start()

    def cut_connections(self, draw: random.Random) -> None:
        """Every connection ends in the middle of what it was at."""
        with psycopg.connect(f"{self.cluster.address}/postgres", autocommit=True) as line:
            line.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [self.database]
            )

    def kill_beat(self, draw: random.Random) -> None:
        self.beat.kill()
        pause(draw)
        self.beat.start()

    def keep_up(self) -> None:
        """Start a worker again that has ended by itself, as a service manager does: some do where Redis was killed."""
        for worker in self.workers:
            if worker.child is not None and worker.child.poll() is not None:
                worker.start()

    @property
    def blows(self) -> list:
        return [
            self.kill_worker,
            self.kill_redis,
            self.kill_database,
            self.kill_child,
            self.cut_connections,
            self.kill_worker,
            self.kill_beat,
        ]


def pause(draw: random.Random) -> None:
    time.sleep(draw.uniform(0, 1.5))


def told(cluster: Cluster, database: str, folder: Path) -> dict[str, str]:
    """The environment of every process of a game. The key ring must be one for all databases made from one book."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith("SPAREBOOK_")}
    return plain | {
        "SPAREBOOK_DATABASE": f"{cluster.address}/{database}",
        "SPAREBOOK_HOME": str(folder.parent / "home"),
        "DJANGO_SETTINGS_MODULE": "tests.faults.servers.settings",
        "PYTHONUNBUFFERED": "1",
    }


def act(env: dict[str, str], *words: str) -> None:
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def copied(cluster: Cluster, name: str, template: str | None = None) -> None:
    with psycopg.connect(f"{cluster.address}/postgres", autocommit=True) as line:
        line.execute(f"CREATE DATABASE {name}" + (f" TEMPLATE {template}" if template else ""))  # type: ignore[arg-type]
        # A sequence that was copied logs nothing ahead until a checkpoint has passed: a crash before that would have
        # it give numbers twice.
        line.execute("CHECKPOINT")


def asked(cluster: Cluster, database: str, statement: str) -> list[tuple]:
    with psycopg.connect(f"{cluster.address}/{database}") as line:
        return line.execute(statement).fetchall()  # type: ignore[arg-type]


def state_of(cluster: Cluster, database: str) -> dict[str, list[str]]:
    return {name: sorted(map(repr, asked(cluster, database, text))) for name, text in STATE.items()}


def done_so_far(cluster: Cluster, database: str) -> int:
    """Meshes that the last round has got through; what cannot be asked at this moment counts as none."""
    statement = (
        "SELECT CASE WHEN r.state = 'running' THEN COALESCE((SELECT sum(done) FROM fleet_roundchunk c "
        "WHERE c.round_id = r.id), 0) ELSE r.total END FROM fleet_round r ORDER BY r.id DESC LIMIT 1"
    )
    try:
        return int(asked(cluster, database, statement)[0][0])
    except psycopg.Error:
        return 0


def has_come_to(game: Game, due: int) -> bool:
    game.keep_up()
    return done_so_far(game.cluster, game.database) >= due


def is_done(cluster: Cluster, database: str) -> bool:
    try:
        return asked(cluster, database, "SELECT state FROM fleet_round ORDER BY id DESC LIMIT 1") == [
            ("done",)
        ]
    except psycopg.Error:
        return False


@pytest.fixture(scope="module")
def book(cluster, tmp_path_factory) -> tuple[Path, datetime]:
    """The database `book` as it stands in the morning, and `alone` after a round that nobody disturbed."""
    folder = tmp_path_factory.mktemp("alone")
    moment = datetime.now(UTC).replace(microsecond=0)
    copied(cluster, "book")
    act(
        told(cluster, "book", folder),
        "-m",
        "tests.faults.servers.book",
        "fill",
        str(HOMES),
        moment.isoformat(),
    )
    copied(cluster, "alone", "book")
    act(told(cluster, "alone", folder), "-m", "tests.faults.servers.book", "alone", moment.isoformat())
    return folder, moment


@contextmanager
def all_up(game: Game) -> Iterator[None]:
    with running(game.redis):
        wait_for(lambda: redis_answers(game.redis_port), "Redis's start")
        with running(game.workers[0]), running(game.workers[1]), running(game.beat):
            yield


def test_a_round_that_is_killed_again_and_again_ends_as_one_that_nobody_disturbed(
    cluster, book, tmp_path_factory
):
    print(f"seed {SEED}, {KILLS} kills, {HOMES} homes")
    draw = random.Random(SEED)
    _, moment = book
    copied(cluster, "killed", "book")
    game = Game(cluster, "killed", tmp_path_factory.mktemp("killed"))
    blows = (game.blows * (KILLS // len(game.blows) + 1))[:KILLS]
    draw.shuffle(blows)
    # Each blow falls when so many meshes are done, somewhere in its own stretch of the round.
    stretch = HOMES / (KILLS + 1)
    moments = [round(stretch * (place + draw.random())) for place in range(KILLS)]

    with all_up(game):
        act(game.env, "-m", "tests.faults.servers.book", "begin", moment.isoformat())
        for blow, due in zip(blows, moments, strict=True):
            wait_for(partial(has_come_to, game, due), f"mesh {due}", LONGEST_SECONDS)
            time.sleep(draw.uniform(0, 0.2))
            print(f"{blow.__name__} at {done_so_far(cluster, 'killed')} of {HOMES}")
            blow(draw)
        wait_for(partial(has_come_to, game, HOMES), "the last mesh", LONGEST_SECONDS)
        wait_for(lambda: is_done(cluster, "killed"), "the end of the round")

    undisturbed, killed = state_of(cluster, "alone"), state_of(cluster, "killed")
    for name in STATE:
        assert killed[name] == undisturbed[name], name
    assert any("gone" in row for row in killed["copies"])
    assert any("doomed" in row for row in killed["copies"])
    assert f"{HOMES}, {HOMES}" in "".join(killed["rounds"])
    act(game.env, "-m", "tests.faults.servers.book", "open")


def test_two_beats_begin_one_round_an_hour(cluster, book, tmp_path_factory):
    copied(cluster, "beats", "book")
    game = Game(cluster, "beats", tmp_path_factory.mktemp("beats"))
    second = celery("beat", game.env, "second", game.folder / "second.log")
    asked_for = "SELECT slot FROM fleet_round WHERE asked_by = 'schedule'"
    with psycopg.connect(f"{cluster.address}/beats", autocommit=True) as line:
        line.execute("UPDATE fleet_round SET slot = NULL")
        line.execute("UPDATE fleet_mesh SET in_care = id <= (SELECT min(id) + 3 FROM fleet_mesh)")

    with all_up(game), running(second):
        wait_for(lambda: asked(cluster, "beats", asked_for) != [], "the first round")
        time.sleep(6)

    slots = asked(cluster, "beats", asked_for)
    assert len(slots) == len(set(slots)) <= 2  # two where the hour turned in these seconds
    assert asked(
        cluster,
        "beats",
        "SELECT max(n) FROM (SELECT count(*) AS n FROM fleet_readinesschange "
        "GROUP BY round_id, mesh_id) AS each",
    ) == [(1,)]


def test_a_clock_two_hours_ahead_of_the_database_erases_nothing(cluster, book, tmp_path_factory):
    folder, moment = book
    copied(cluster, "ahead", "book")
    env = told(cluster, "ahead", folder)
    text = (
        "from datetime import datetime, timedelta; from fleet.verbs import round; "
        f"print(round.begin(datetime.fromisoformat('{moment.isoformat()}'), 'test', off=timedelta(hours=2)).notice)"
    )
    act(env, "manage.py", "shell", "--no-imports", "-c", text)

    assert asked(cluster, "ahead", "SELECT may_erase FROM fleet_round ORDER BY id DESC LIMIT 1") == [(False,)]
