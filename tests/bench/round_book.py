"""A book of many homes as it stands one morning after years of nightly rounds, made in bulk for benches and kill tests.

Every home has one mesh, some 37 copies of it as the keep rule has left them, sealed for real and packed against a base
but for the newest two, and what readiness looks at. The same seed gives the same book but for keys and nonces.
"""

import os
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256

from django.db.models import Model

from fleet import keyring
from fleet.models import (
    BaseCopy,
    Currency,
    Custody,
    DataKey,
    Drill,
    FirmwareRelease,
    Grade,
    KeepRule,
    Mesh,
    Node,
    PackingBase,
    Place,
    Radio,
    RadioState,
    SealedBody,
    ServicePeriod,
    Snapshot,
)
from fleet.planning.readiness import State
from fleet.queries.sealed import place_of, place_of_base
from fleet.snapshots import sealing
from fleet.verbs.keep import TIERS
from fleet.verbs.repack import SERVES
from sites.models import Agreement, Client, Site
from tests import make
from tests.bench.round_copies import DAY, NIGHTS, NODES, Documents, Held, bases_of, pattern

ZONES = ("Europe/Oslo", "America/St_Johns", "Asia/Kathmandu")
HOMES_A_VAN, HOMES_A_SPARE = 50, 20
BATCH = 250
RESOURCES = ("children", "neighbours", "routes", "source_routes", "link_keys", "bindings")


@dataclass(frozen=True, slots=True)
class Kinds:
    """The radios of the firm: one model, two builds, and the place of each spare."""

    build: FirmwareRelease
    other: FirmwareRelease


def build(homes: int, now: datetime, seed: int = 1) -> None:
    """Fill an empty book. Rows go in by the thousand, so 10,000 homes take some minutes."""
    draw = random.Random(seed)
    KeepRule.objects.create(name="usual", is_default=True)
    kinds = _kinds()
    _spares(homes, kinds, draw)
    patterns = {zone: pattern(zone, now) for zone in ZONES}
    documents = Documents(max(map(len, patterns.values())))
    _rounds_before(now)
    for start in range(0, homes, BATCH):
        _homes(range(start, min(start + BATCH, homes)), now, kinds, patterns, documents, draw)


def _kinds() -> Kinds:
    model = make.radio_model(code="A2", channel_mask=0x07FFF800, max_power_dbm=20)
    for name in RESOURCES:
        make.limit(model, name, 64)
    settable = ("network_key", "key_sequence", "counter", "pan_id", "extended_pan_id", "power")
    can = {f"sets_{name}": True for name in settable} | {"stack_revision": 22, "security_modes": "both"}
    return Kinds(make.release(model, version="7.4.1", **can), make.release(model, version="7.4.2", **can))


def _spares(homes: int, kinds: Kinds, draw: random.Random) -> None:
    vans = [
        Place(
            code=f"VAN-{n}", name=f"Van {n}", kind="van", latitude=_near(60, draw), longitude=_near(10, draw)
        )
        for n in range(max(homes // HOMES_A_VAN, 1))
    ]
    Place.objects.bulk_create(vans, BATCH)
    Radio.objects.bulk_create(
        (
            Radio(
                code=f"S-{n}",
                model=kinds.build.model,
                firmware=draw.choice((kinds.build, kinds.build, kinds.other)),
                serial=f"S{n:06}",
                factory_address=make.address(0xA0000000 + n),
                place=draw.choice(vans),
                blank_proven_at=make.NOW if n % 5 else None,
            )
            for n in range(max(homes // HOMES_A_SPARE, 2))
        ),
        BATCH,
    )


def _near(degrees: float, draw: random.Random) -> str:
    return f"{degrees + draw.uniform(-1, 1):.5f}"


def _rounds_before(now: datetime) -> None:
    """Nightly rounds that went well, so that the next one may erase."""
    for ago in range(NIGHTS, 0, -1):
        make.round_(started_at=now - ago * DAY, may_erase=True)


def _homes(
    numbers: Sequence[int],
    now: datetime,
    kinds: Kinds,
    patterns: dict[str, list[Held]],
    documents: Documents,
    draw: random.Random,
) -> None:
    """One batch: every table in one statement or a few."""
    clients = Client.objects.bulk_create(Client(name=f"Client {n}") for n in numbers)
    sites = Site.objects.bulk_create(
        Site(
            client=client,
            code=f"HOME-{n}" if n < 10_000 else f"HOUSE-{n - 10_000}",
            name="house",
            address_lines="1 Example Row",
            country="NO",
            time_zone=ZONES[n % len(ZONES)],
            latitude=_near(60, draw),
            longitude=_near(10, draw),
        )
        for n, client in zip(numbers, clients, strict=True)
    )
    Agreement.objects.bulk_create(
        Agreement(
            site=site,
            starts_on=date(2020, 1, 1),
            recovery_point_hours=draw.choice((48, 168)),
            recovery_time_minutes=draw.choice((120, 240, 480)),
        )
        for site in sites
    )
    meshes = Mesh.objects.bulk_create(_mesh(n, site, now) for n, site in zip(numbers, sites, strict=True))
    heads = Radio.objects.bulk_create(
        Radio(
            code=f"R-{n}",
            model=kinds.build.model,
            firmware=kinds.build,
            serial=f"R{n:06}",
            factory_address=mesh.head_address,
            state=RadioState.ON_AIR,
        )
        for n, mesh in zip(numbers, meshes, strict=True)
    )
    ServicePeriod.objects.bulk_create(
        ServicePeriod(
            mesh=mesh,
            radio=head,
            head_address=mesh.head_address,
            extended_pan_id=mesh.extended_pan_id,
            since=now - 900 * DAY,
        )
        for mesh, head in zip(meshes, heads, strict=True)
    )
    Drill.objects.bulk_create(
        Drill(
            mesh=mesh,
            kind="bench",
            result="passed" if draw.random() < 0.95 else "failed",
            done_at=now - draw.randrange(30, 450) * DAY,
            source_release=kinds.build,
            target_release=kinds.build,
        )
        for mesh in meshes
    )
    Node.objects.bulk_create((node for mesh in meshes for node in _nodes(mesh, now, draw)), 5_000)
    keys = _data_keys(clients, now)
    _copies(meshes, keys, patterns, documents, draw)


def _mesh(n: int, site: Site, now: datetime) -> Mesh:
    return Mesh(
        site=site,
        code=f"{site.code}-A",
        extended_pan_id=f"02D1CE00{n:08X}",
        head_address=f"02A4C138{n:08X}",
        pan_id=n % 0xFFFE,
        channel=11 + n % 16,
        key_mark=f"{n:08X}",
        key_digest=sha256(f"key {n}".encode()).digest(),
        key_sequence=0,
        power_dbm=8,
        security_mode="central",
        table_use=dict.fromkeys(RESOURCES, 20 + n % 40),
        roll={},
        readiness=State.COVERED.value,
        readiness_rank=State.COVERED.severity,
        assessed_at=now - DAY,
    )


def _nodes(mesh: Mesh, now: datetime, draw: random.Random) -> Iterator[Node]:
    for place in range(NODES):
        router = place % 3 == 0
        yield Node(
            mesh=mesh,
            extended_address=f"02BEEF{place:02X}{int(mesh.head_address[8:], 16):08X}",
            short_address=0x2000 + place,
            role="router" if router else "end_device",
            power="mains" if router else "battery",
            link_key_kind="unique",
            link_key_held=True,
            sleeps=not router,
            label=f"thing {place}",
            room=draw.choice(("hall", "kitchen", "attic")),
            first_seen=now - draw.randrange(1, 5_000) * DAY,
        )


def _data_keys(clients: list[Client], now: datetime) -> dict[int, tuple[DataKey, bytes]]:
    ring = keyring.load()
    plain = {client.pk: sealing.new_data_key(os.urandom(32)) for client in clients}
    rows = DataKey.objects.bulk_create(
        DataKey(
            client_id=client,
            ring_key=ring.active,
            wrapped=sealing.wrap(ring.wrapping_key(ring.active), key),
            made_at=now,
        )
        for client, key in plain.items()
    )
    return {row.client_id: (row, plain[row.client_id]) for row in rows}


def _copies(
    meshes: list[Mesh],
    keys: dict[int, tuple[DataKey, bytes]],
    patterns: dict[str, list[Held]],
    documents: Documents,
    draw: random.Random,
) -> None:
    of_each = {mesh: _snapshots(mesh, patterns[mesh.site.time_zone], documents, draw) for mesh in meshes}
    Snapshot.objects.bulk_create((row for rows in of_each.values() for row in rows), 2_000)
    bases, copies, bodies = [], [], []
    for mesh, rows in of_each.items():
        key, plain = keys[mesh.site.client_id]
        # One mesh in SERVES begins a new base in the next round.
        places = bases_of(len(rows), draw.randrange(1, SERVES + 1))
        root = _base(rows[places[-1]], None, key, documents.newest_first[places[-1]])
        leaves = {
            place: _base(rows[place], root, key, documents.newest_first[place]) for place in places[:-1]
        }
        of_place = {**leaves, places[-1]: root}
        bases += [root, *leaves.values()]
        for place, base in of_place.items():
            packed = documents.packed(place, None if base is root else places[-1])
            copies += [
                BaseCopy(base=base, place=twin, sealed=_sealed(plain, packed, place_of_base(base, twin)))
                for twin in (1, 2)
            ]
        for number, snapshot in enumerate(rows):
            served = max((place for place in places if place <= number), default=None)
            body = SealedBody(snapshot=snapshot, data_key=key, base=of_place.get(served))
            body.sealed = _sealed(plain, documents.packed(number, served), place_of(body, key))
            bodies.append(body)
    _put(PackingBase, [base for base in bases if base.root is None])
    _put(PackingBase, [base for base in bases if base.root is not None])
    _put(BaseCopy, copies)
    _put(SealedBody, bodies)


def _base(source: Snapshot, root: PackingBase | None, key: DataKey, body: bytes) -> PackingBase:
    return PackingBase(
        mesh=source.mesh,
        source=source,
        root=root,
        data_key=key,
        sha256=sha256(body).hexdigest(),
        made_at=source.taken_at,
    )


def _put(model: type[Model], rows: list[Model]) -> None:
    model.objects.bulk_create(rows, 2_000)  # type: ignore[attr-defined]


def _sealed(key: bytes, packed: bytes, place: bytes) -> bytes:
    return sealing.seal(key, packed, place, os.urandom(12))


def _snapshots(mesh: Mesh, held: list[Held], documents: Documents, draw: random.Random) -> list[Snapshot]:
    """One home in forty has sent nothing for so long that its newest copies are missing."""
    late = draw.random() < 1 / 40
    shift = timedelta(days=9) if late else timedelta(0)
    epoch = f"key epoch 0 ({mesh.key_mark})"
    rows = []
    for number, (copy, body) in enumerate(zip(held, documents.newest_first, strict=False)):
        holds = [epoch if hold.startswith("key epoch") else hold for hold in copy.holds]
        pinned = any(not hold.startswith(TIERS) for hold in holds)
        rows.append(
            Snapshot(
                mesh=mesh,
                taken_at=copy.taken_at - shift,
                received_at=copy.taken_at - shift + timedelta(minutes=5),
                layout="own layout 1",
                size_octets=len(body),
                sha256=sha256(body).hexdigest(),
                body_mark=sha256(f"{mesh.code} {number}".encode()).digest(),
                meaning_mark=sha256(f"{mesh.code} {number} meaning".encode()).digest(),
                key_mark=mesh.key_mark,
                key_sequence=0,
                outgoing_counter=2_000_000 - 1_000 * number,
                node_count=NODES,
                table_use={name: use - number // 8 for name, use in mesh.table_use.items()}
                | {"devices": NODES},
                channel=mesh.channel,
                pan_id=mesh.pan_id,
                grade=Grade.SEEN_LIVE,
                currency=Currency.FRESH,
                custody=Custody.DOOMED if copy.doomed_at else Custody.PINNED if pinned else Custody.KEPT,
                holds=holds,
                doomed_at=copy.doomed_at,
            )
        )
    return rows
