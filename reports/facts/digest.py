"""What the month of the book says to the owner of the firm: its figures (K1), the month before beside them.

Every figure carries its n; None is what the rows do not allow to say, never nought.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from fleet.planning.sentences import Told
from reports.facts.errors import FactsError
from reports.facts.head import Firm, Home, Issue


class Unrecorded(StrEnum):
    """Figures that an owner would ask for and that the book has no rows for."""

    CALLBACKS = "callbacks"
    FIRST_VISIT = "first visit"
    HOURS = "hours unbilled"
    STOCK_BEFORE = "stock before"


@dataclass(frozen=True, slots=True)
class Standing:
    """Homes by the state of their worst mesh at one moment. `unjudged`: in care, and not judged by then."""

    bare: int = 0
    unknown: int = 0
    thin: int = 0
    by_hand: int = 0
    covered: int = 0
    unjudged: int = 0

    @property
    def judged(self) -> int:
        return self.bare + self.unknown + self.thin + self.by_hand + self.covered

    @property
    def held(self) -> int:
        """Homes that could be brought back as promised, with work by hand or without."""
        return self.covered + self.by_hand


@dataclass(frozen=True, slots=True)
class Money:
    """What joining every device of the homes that were not covered would cost, and homes whose sum is not known."""

    amount: Decimal | None
    currency: str
    homes: int
    not_known: int


@dataclass(frozen=True, slots=True)
class Ages:
    """Age in hours of the newest sound copy of each mesh: median and 95th percentile, and meshes with no copy."""

    n: int
    median: Decimal | None
    high: Decimal | None
    without: int


@dataclass(frozen=True, slots=True)
class Drills:
    """Bench and live drills of twelve months, the share passed in per cent and its lower bound (95 %).

    `failing_at_most`: where none failed, the share of homes that may fail at most. `paper` prove nothing and are
    counted apart.
    """

    trials: int
    passes: int
    lower: Decimal | None
    failing_at_most: Decimal | None
    paper: int
    in_month: int


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes of what went well in twelve months: median, 90th percentile; how many kept their home's promise."""

    n: int
    median: Decimal | None
    high: Decimal | None
    promised: int
    kept: int


@dataclass(frozen=True, slots=True)
class Swaps:
    """Replacements accepted in twelve months with their times, and those that were backed out or left stranded.

    A time runs from the call where the radio had failed, else from its silencing, to acceptance.
    """

    accepted: int
    undone: int
    times: Times


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures as of one moment."""

    at: datetime
    standing: Standing
    money: Money
    ages: Ages
    proven: int
    drills: Drills
    times: Times
    swaps: Swaps
    waiting: int
    tight: int
    tight_of: int

    @property
    def day(self) -> date:
        """The day that ends at this moment."""
        return (self.at - timedelta(seconds=1)).date()


@dataclass(frozen=True, slots=True)
class Cluster:
    """The most failures that lie close together, and their days."""

    size: int
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Family:
    """Radios of one family. Rates are failures per 100 radio-years; stocks hold at the upper rate.

    `few`: too few radio-years to tell it from others. `ready`: spares that could be taken as they are.
    """

    name: str
    in_service: int
    failures: int
    years: Decimal
    rate: Decimal | None
    upper: Decimal | None
    few: bool
    cluster: Cluster | None
    ready: int
    spares: int
    stock_95: int | None
    stock_99: int | None


@dataclass(frozen=True, slots=True)
class Rounds:
    """Rounds that began in the month. `late`: waits for the next over three hours; `longest`: the longest, in hours."""

    ran: int
    broken: int
    with_errors: int
    late: int
    longest: Decimal | None


@dataclass(frozen=True, slots=True)
class DayOfBook:
    """How many homes stood in each state on one day. None: the book was not judged that day."""

    day: date
    standing: Standing | None


@dataclass(frozen=True, slots=True)
class AgeBand:
    """Meshes whose newest sound copy was up to so many hours old; None is any older, and `none` no copy at all."""

    up_to: int | None
    count: int
    none: bool = False


@dataclass(frozen=True, slots=True)
class Troubled:
    """A home that was not covered at the month's end. `stands_so`: it still does; else `act` is None.

    `state` is the book's word: bare, unknown or thin. `since` is the day in the firm's calendar. `act` is also None
    where no round has written one down that can be said in every language.
    """

    code: str
    client: str
    state: str
    since: date
    reason: Told | None
    act: Told | None
    cost: Decimal | None
    stands_so: bool = True


@dataclass(frozen=True, slots=True)
class Tight:
    """A mesh with less than 20 % left: the tightest table, entries used of entries allowed."""

    code: str
    client: str
    resource: str
    used: int
    limit: int


@dataclass(frozen=True, slots=True)
class Ending:
    """An agreement that ends within 90 days of the month's end, and none follows it."""

    code: str
    client: str
    ends_on: date
    notice_by: date | None


@dataclass(frozen=True, slots=True)
class Waiting:
    """Documents in the tray by the book's reason, and since when the oldest waits."""

    reason: str
    count: int
    oldest: date


@dataclass(frozen=True, slots=True)
class Papers:
    """Hand-over sheets in force when this was issued, and how many of them are out of date or without a signature."""

    handovers: int
    stale: int
    unsigned: int


@dataclass(frozen=True, slots=True)
class DigestFacts:
    """Everything on the month of the book, in the firm's zone and language. `..._left_out`: how much a list was cut."""

    issue: Issue
    firm: Firm
    month: date
    zone: str
    language: str
    now: Figures
    before: Figures
    rounds: Rounds
    papers: Papers
    lead_days: int
    days: tuple[DayOfBook, ...] = ()
    bands: tuple[AgeBand, ...] = ()
    troubled: tuple[Troubled, ...] = ()
    troubled_left_out: int = 0
    families: tuple[Family, ...] = ()
    tight: tuple[Tight, ...] = ()
    tight_left_out: int = 0
    ending: tuple[Ending, ...] = ()
    ending_left_out: int = 0
    waiting: tuple[Waiting, ...] = ()
    unrecorded: tuple[Unrecorded, ...] = ()

    def __post_init__(self) -> None:
        if self.month.day != 1:
            raise FactsError(f"month: {self.month}; give the first day of the month")

    @property
    def code(self) -> str:
        """2027-02"""
        return f"{self.month:%Y-%m}"

    @property
    def home(self) -> Home:
        """The firm in the place where other sheets have a home."""
        return Home(code=self.code, client_name=self.firm.name, zone=self.zone, language=self.language)
