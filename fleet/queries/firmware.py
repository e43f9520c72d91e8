"""What the pages of firmware ask: models with their builds, where each build is, and how it stands to the others."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Prefetch, Q, QuerySet

from fleet.models import (
    OPEN_PASSAGES,
    FirmwarePolicy,
    FirmwareRelease,
    Passage,
    PassageState,
    Radio,
    RadioModel,
    RadioState,
    ServicePeriod,
)
from fleet.planning.capabilities import FirmwareState
from fleet.planning.firmware import Build, Comparison, VersionForm, compare
from fleet.planning.firmware_use import Answer, may_go_into_homes
from fleet.planning.rings import RingKind
from fleet.queries.passages import stand, whole
from fleet.queries.spares import STANDING_BY


@dataclass(frozen=True, slots=True)
class BuildView:
    """One build: whether it may go into homes, on how many radios it is, and how it stands to the preferred one."""

    row: FirmwareRelease
    answer: Answer
    on_air: int
    standing_by: int
    beside: FirmwareRelease | None
    comparison: Comparison | None


@dataclass(frozen=True, slots=True)
class ModelView:
    """One model with its builds, the newest first, and its open passage."""

    row: RadioModel
    builds: tuple[BuildView, ...]
    passage: Passage | None
    unknown: int

    @property
    def to_be_left(self) -> int:
        """Radios on air with a build that is barred or on hold."""
        states = (FirmwarePolicy.BARRED, FirmwarePolicy.HOLD)
        return sum(each.on_air for each in self.builds if each.row.policy in states)


def builds_counted() -> QuerySet[FirmwareRelease]:
    """Every build with how many radios have it, on air and standing by."""
    return FirmwareRelease.objects.select_related("model").annotate(
        on_air=Count("radios", filter=Q(radios__state=RadioState.ON_AIR)),
        standing_by=Count("radios", filter=Q(radios__state__in=STANDING_BY)),
    )


def models(now: datetime, code: str = "") -> tuple[ModelView, ...]:
    """Every model, or the one of this code, in at most six statements."""
    rows = RadioModel.objects.filter(code=code) if code else RadioModel.objects.all()
    rows = rows.prefetch_related(Prefetch("releases", builds_counted()))
    passages = {row.model_id: row for row in whole(Passage.objects.filter(state__in=OPEN_PASSAGES))}
    unknown = _unknown()
    return tuple(_model(row, passages.get(row.pk), unknown[row.pk], now) for row in rows)


def _unknown() -> dict[int, int]:
    """Radios on air of which nobody knows the build, by model."""
    rows = Radio.objects.filter(firmware=None, state=RadioState.ON_AIR).order_by()
    counts = rows.values_list("model").annotate(n=Count("pk"))
    return defaultdict(int, dict(counts))


def _model(row: RadioModel, passage: Passage | None, unknown: int, now: datetime) -> ModelView:
    releases = list(row.releases.all())
    preferred = next((each for each in releases if each.policy == FirmwarePolicy.PREFERRED), None)
    releases.sort(key=lambda each: (each.order_key is None, -(each.order_key or 0), each.version))
    builds = tuple(_build(each, preferred, passage, now) for each in releases)
    return ModelView(row, builds, passage, unknown)


def _build(
    row: FirmwareRelease, preferred: FirmwareRelease | None, passage: Passage | None, now: datetime
) -> BuildView:
    beside = None if preferred is None or preferred.pk == row.pk else preferred
    return BuildView(
        row=row,
        answer=answer_of(row, passage, now),
        on_air=row.on_air,  # type: ignore[attr-defined]
        standing_by=row.standing_by,  # type: ignore[attr-defined]
        beside=beside,
        comparison=None if beside is None else comparison(row, beside),
    )


def answer_of(release: FirmwareRelease, passage: Passage | None, now: datetime) -> Answer:
    """Whether this build may go into homes. passage: the open one of its model, from whole()."""
    mine = passage is not None and passage.target_id == release.pk
    ring = None
    if mine and passage is not None:
        current = stand(passage, now).current
        ring = current.kind if current else RingKind.REST
    stopped = mine and passage is not None and passage.state == PassageState.STOPPED
    return may_go_into_homes(FirmwareState(release.policy), release.policy_reason, ring, stopped)


def comparison(one: FirmwareRelease, other: FirmwareRelease) -> Comparison:
    """How one build of a model stands to another."""
    form = VersionForm(one.model.numbering) if one.model.numbering else None
    return compare(_facts(one), _facts(other), form)


def _facts(release: FirmwareRelease) -> Build:
    key = None if release.order_key is None else (release.order_key,)
    return Build(release.version, release.band_plan, key)


def build_view(pk: int, now: datetime) -> BuildView | None:
    """One build with its standing to the preferred one of its model."""
    row = builds_counted().filter(pk=pk).first()
    if row is None:
        return None
    preferred = row.model.releases.filter(policy=FirmwarePolicy.PREFERRED).first()
    if preferred is not None:
        preferred.model = row.model
    passage = whole(Passage.objects.filter(model=row.model, state__in=OPEN_PASSAGES)).first()
    return _build(row, preferred, passage, now)


def homes_on(release: FirmwareRelease) -> QuerySet[ServicePeriod]:
    """The meshes that are led by a radio with this build, homes with safety devices first."""
    periods = ServicePeriod.objects.filter(radio__firmware=release, until=None)
    return periods.select_related("radio", "mesh__site__client").order_by(
        "-mesh__safety_relevant", "mesh__code"
    )


def others_of(release: FirmwareRelease) -> list[tuple[FirmwareRelease, Comparison]]:
    """The model's other builds, each with how this one stands to it."""
    rows = release.model.releases.exclude(pk=release.pk).select_related("model")
    return [(row, comparison(release, row)) for row in rows]
