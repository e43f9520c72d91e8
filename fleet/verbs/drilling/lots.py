"""Drawing lots once a month. The seed is made here and kept with the weights, so that anybody can draw again."""

import secrets
from datetime import date, datetime
from random import Random

from django.db import IntegrityError, transaction

from fleet.models import DrawnMesh, DrillDraw, Mesh
from fleet.planning.drilling.lots import draw, how_many
from fleet.queries.drilling.lots import lots_now, month_of, written_lot
from fleet.verbs import journal

SEED_OCTETS = 16


class NotDrawn(Exception):
    """No lots were drawn; the sentence says why."""


@transaction.atomic
def draw_month(now: datetime, by: str, seed: str = "") -> DrillDraw:
    """Draw this month's meshes. seed: of the demo and of tests alone; else one that nobody could foresee.

    Meshes drawn before and not drilled since stay drawn and have no lot. Raises NotDrawn.
    """
    month = month_of(now)
    _insist_first(month)
    lots = lots_now()
    count = min(len(lots), how_many(Mesh.objects.filter(in_care=True).count()))
    if not count:
        raise NotDrawn("No mesh is left to draw: all that are in care are drawn and wait for their drill.")
    seed = seed or secrets.token_hex(SEED_OCTETS)
    drawn = draw(lots, count, Random(seed))
    try:
        with transaction.atomic():
            row = DrillDraw.objects.create(
                month=month,
                seed=seed,
                lots=[written_lot(lot) for lot in lots],
                count=count,
                drawn_at=now,
                by=by[:120],
            )
    except IntegrityError:
        _insist_first(month)  # somebody drew at this very moment
        raise
    meshes = {mesh.code: mesh for mesh in Mesh.objects.filter(code__in=drawn)}
    DrawnMesh.objects.bulk_create(
        DrawnMesh(draw=row, mesh=meshes[code], place=place) for place, code in enumerate(drawn, 1)
    )
    journal.record(by, "drill lots drawn", "", now, month=f"{month:%Y-%m}", seed=seed, drawn=list(drawn))
    return row


def draw_if_due(now: datetime) -> DrillDraw | None:
    """The month's draw by the schedule; None where it was drawn, or there is nothing to draw."""
    if DrillDraw.objects.filter(month=month_of(now)).exists():
        return None
    try:
        return draw_month(now, "schedule")
    except NotDrawn:
        return None


def _insist_first(month: date) -> None:
    drawn = DrillDraw.objects.filter(month=month).first()
    if drawn is not None:
        raise NotDrawn(
            f"month: the lots of {month:%Y-%m} were drawn on {drawn.drawn_at:%Y-%m-%d} by {drawn.by}; they are drawn "
            "once a month."
        )
