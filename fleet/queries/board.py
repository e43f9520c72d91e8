"""What the board asks: how many homes could be brought back today, and the meshes, worst first."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.core.paginator import Page, Paginator
from django.db.models import Count, Min, Q, QuerySet, Sum

from fleet.models import Mesh, Round, RoundState
from fleet.planning.readiness import State
from fleet.queries.incidents import NONE, Incidents, incidents_in
from fleet.queries.mesh import meshes_for, newest_sound_at
from fleet.queries.tray import waiting_for
from sites import access
from sites.models import Client, Person, Site

ROWS_A_PAGE = 50
MOST_HOMES_NAMED = 10
SHOWN = (
    *("code", "name", "safety_relevant", "readiness", "readiness_reason", "readiness_act", "assessed_at"),
    *("minutes_low", "minutes_likely", "minutes_high"),
    *("site__code", "site__name", "site__time_zone", "site__client__name", "site__client__language"),
)
"""What a row of the board shows; the other columns of a mesh hold far more."""
# Rounds run every hour; after three missed ones, what the board says is doubtful. Common practice, no source.
ROUND_IS_LATE_AFTER = timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class Tally:
    """Homes counted by their worst mesh in care."""

    bare: int
    unknown: int
    thin: int
    by_hand: int
    covered: int
    without_mesh: int

    @property
    def judged(self) -> int:
        """Homes with at least one mesh in care."""
        return self.bare + self.unknown + self.thin + self.by_hand + self.covered


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """How far a book without a mesh has come towards its first home: the newest client, and their newest home."""

    client: Client | None
    site: Site | None


@dataclass(frozen=True, slots=True)
class Board:
    """One page of the board. `states`: meshes in care by readiness, worst first; `steps` only without any.

    A mesh of the page is marked with its incidents (Incidents.mark).
    """

    tally: Tally
    states: list[tuple[State, int]]
    incidents: Incidents
    page: Page
    homes_without_mesh: list[Site]
    last_round: Round | None
    waiting: int
    steps: FirstSteps | None

    @property
    def meshes(self) -> int:
        """Meshes in care."""
        return sum(count for _, count in self.states)

    @property
    def bare(self) -> int:
        """Meshes in care that could not be brought back."""
        return dict(self.states).get(State.BARE, 0)

    def is_doubtful(self, now: datetime) -> bool:
        """True where rounds have stopped: no news is then no good news."""
        ended = self.last_round and (self.last_round.finished_at or self.last_round.last_sign_at)
        return (
            ended is None or now - ended > ROUND_IS_LATE_AFTER or self.last_round.state == RoundState.BROKEN
        )


def board_for(person: Person, today: date, state: State | None, page_number: str | None) -> Board:
    """One page of the board, all states or one. A fixed number of statements whatever the size of the book."""
    # Homes of an erased client have no mesh in care and never will have one.
    sites = access.sites_for(person, today).filter(client__erased_at=None)
    clients = access.clients_for(person, today).filter(erased_at=None)
    meshes = meshes_for(person, today).filter(in_care=True)
    tally, states = count_of(sites, meshes)
    incidents = incidents_in(meshes)
    leaves = Paginator(rows(meshes, state, incidents).only(*SHOWN), ROWS_A_PAGE)
    leaves.count = dict(states).get(state, 0) if state else sum(dict(states).values())
    page = leaves.get_page(page_number)
    page.object_list = list(page.object_list)
    incidents.mark(page)
    return Board(
        tally=tally,
        states=states,
        incidents=incidents,
        page=page,
        homes_without_mesh=_without_mesh(sites) if tally.without_mesh else [],
        last_round=Round.objects.exclude(state=RoundState.RUNNING).first(),
        waiting=waiting_for(person, today).count(),
        steps=None if states else first_steps(clients, sites),
    )


def rows(meshes: QuerySet[Mesh], state: State | None = None, incidents: Incidents = NONE) -> QuerySet[Mesh]:
    """Meshes with what a row shows and no more: incidents, then worst first, then those with locks, heating, alarms."""
    if state is not None:
        meshes = meshes.filter(readiness=state.value)
    return (
        meshes.select_related("site__client")
        .annotate(newest_sound_at=newest_sound_at())
        .order_by(*incidents.first(), "readiness_rank", "-safety_relevant", "code")
    )


def count_of(sites: QuerySet[Site], meshes: QuerySet[Mesh]) -> tuple[Tally, list[tuple[State, int]]]:
    """Homes by their worst mesh, and these meshes (all in care) by state, worst first. Two statements."""
    homes = meshes.order_by().values("site")
    homes = homes.annotate(worst=Min("readiness_rank"), **{f"with_{state}": _of(state) for state in State})
    by_worst = {f"homes_{state}": Count("site", filter=Q(worst=state.severity)) for state in State}
    found = homes.aggregate(**by_worst, **{f"meshes_{state}": Sum(f"with_{state}") for state in State})
    tally = Tally(
        bare=found[f"homes_{State.BARE}"],
        unknown=found[f"homes_{State.UNKNOWN}"],
        thin=found[f"homes_{State.THIN}"],
        by_hand=found[f"homes_{State.COVERED_WITH_HANDWORK}"],
        covered=found[f"homes_{State.COVERED}"],
        without_mesh=0,
    )
    tally = replace(tally, without_mesh=sites.count() - tally.judged)
    worst_first = sorted(State, key=lambda state: state.severity)
    return tally, [(state, n) for state in worst_first if (n := found[f"meshes_{state}"])]


def _of(state: State) -> Count:
    return Count("pk", filter=Q(readiness_rank=state.severity))


def first_steps(clients: QuerySet[Client], sites: QuerySet[Site]) -> FirstSteps:
    """Where somebody who is entering the first home goes on. Two statements."""
    return FirstSteps(clients.order_by("-pk").first(), sites.order_by("-pk").first())


def _without_mesh(sites: QuerySet[Site]) -> list[Site]:
    in_care = Mesh.objects.filter(in_care=True).values("site")
    return list(sites.exclude(pk__in=in_care).select_related("client").order_by("code")[:MOST_HOMES_NAMED])
