"""What the pages and the command about keep rules ask: which rule holds what, and what is marked to go."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Min, Q, QuerySet, Sum, Value
from django.db.models.functions import Coalesce, Length

from fleet.models import MARKED, Custody, KeepRule, Mesh, SealedBody, Snapshot
from fleet.planning.marking import goes_at
from fleet.queries.rule_book import USUAL, RuleBook
from sites.models import Client

NO_ROW = 0
MARKED_OF_MESH = Q(snapshots__doomed_at__isnull=False, snapshots__gone_at__isnull=True)


@dataclass(frozen=True, slots=True)
class Held:
    """What goes by one rule: meshes, copies that are here (marked ones among them), and their sealed octets."""

    meshes: int = 0
    copies: int = 0
    marked: int = 0
    octets: int = 0


@dataclass(frozen=True, slots=True)
class RuleShown:
    """A rule of the book with what it holds; row is unsaved where the book has no default of its own."""

    row: KeepRule
    held: Held


def rules_shown() -> list[RuleShown]:
    """Every rule, the book's default first, with what it holds. Four statements."""
    rows = list(KeepRule.objects.all())
    default = next((row.pk for row in rows if row.is_default), NO_ROW)
    if default == NO_ROW:
        rows.insert(0, USUAL)
    held = _held(default)
    return [RuleShown(row, held.get(row.pk or NO_ROW, Held())) for row in rows]


def _held(default: int) -> dict[int, Held]:
    here = ~Q(custody=Custody.GONE)
    meshes = _by_rule(Mesh.objects.all(), "", default).annotate(meshes=Count("pk"))
    copies = _by_rule(Snapshot.objects.filter(here), "mesh__", default).annotate(
        copies=Count("pk"), marked=Count("pk", filter=Q(custody=Custody.DOOMED))
    )
    bodies = _by_rule(SealedBody.objects.exclude(snapshot=None), "snapshot__mesh__", default).annotate(
        octets=Sum(Length("sealed"))
    )
    found: dict[int, dict[str, int]] = {}
    for row in (*meshes, *copies, *bodies):
        found.setdefault(row.pop("rule"), {}).update(row)
    return {rule: Held(**counts) for rule, counts in found.items()}


def _by_rule(rows: QuerySet, to_mesh: str, default: int) -> QuerySet:
    """Grouped by the rule that the mesh goes by: the same order as in queries.rule_book."""
    own, of_client = f"{to_mesh}keep_rule", f"{to_mesh}site__client__keep_choice__rule"
    return rows.order_by().annotate(rule=Coalesce(own, of_client, Value(default))).values("rule")


def clients_by(rule: KeepRule) -> QuerySet[Client]:
    """Clients for whom somebody chose this rule."""
    return Client.objects.filter(keep_choice__rule=rule)


@dataclass(frozen=True, slots=True)
class MarkedMesh:
    """How many copies of a mesh are marked to go, under which rule, and when the first of them may be erased."""

    mesh: Mesh
    rule: str
    copies: int
    first_goes: datetime


def meshes_with_marked() -> QuerySet[Mesh]:
    """Meshes in care with copies that are marked, those marked first in front; with `marked` and `first_marked`."""
    marked = Mesh.objects.filter(MARKED_OF_MESH, in_care=True).select_related("site__client")
    counted = marked.annotate(marked=Count("snapshots"), first_marked=Min("snapshots__doomed_at"))
    return counted.order_by("first_marked", "code")


def marked_count() -> int:
    """How many copies of meshes in care are marked. One statement."""
    return Snapshot.objects.filter(MARKED, mesh__in_care=True).count()


def marked_meshes(meshes: Iterable[Mesh]) -> list[MarkedMesh]:
    """These, with the day on which the first copy of each may go. Two statements beside that for the meshes."""
    book = RuleBook.load()
    rows = []
    for mesh in meshes:
        rule = book.rule_of(mesh)
        first = goes_at(mesh.first_marked, rule.numbers.grace_days)
        rows.append(MarkedMesh(mesh, rule.name, mesh.marked, first))
    return rows
