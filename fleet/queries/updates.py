"""Which radios are due for another build, for whoever plans visits."""

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from fleet.models import FirmwareRelease, Mesh, Passage, PassageState, PassageUnit, Radio
from fleet.planning.capabilities import FirmwareState
from fleet.planning.firmware_use import HELD_BACK
from fleet.planning.rings import RingKind
from fleet.queries.passages import is_gone, led_by, whole
from sites.models import Site


@dataclass(frozen=True, slots=True)
class Due:
    """One radio to be updated. mesh: what it leads, None for a spare; site: the home where it is, None at the firm's.

    due: the day from which it may be done; a sound copy of the day before at most is taken first.
    """

    unit: PassageUnit
    mesh: Mesh | None
    site: Site | None
    radio: Radio
    source: FirmwareRelease
    target: FirmwareRelease
    ring: RingKind
    due: date


def due(today: date) -> tuple[Due, ...]:
    """Radios of open rings of passages under way, in their turn; homes with safety devices last.

    Nothing of a passage that is stopped, or to a build that is on hold or barred. Five statements at most.
    """
    rows = whole(Passage.objects.filter(state=PassageState.UNDER_WAY))
    found: list[Due] = []
    for passage in rows.order_by("model__code"):
        if FirmwareState(passage.target.policy) not in HELD_BACK:
            found += _of(passage, today)
    led = led_by(each.radio.pk for each in found)
    placed = [_placed(each, led.get(each.radio.pk)) for each in found]
    return tuple(sorted(placed, key=lambda each: each.mesh is not None and each.mesh.safety_relevant))


def _of(passage: Passage, today: date) -> list[Due]:
    ring = next((each for each in passage.rings.all() if each.passed_at is None), None)
    if ring is None or ring.opened_at is None:
        return []
    since = timezone.localdate(ring.opened_at)
    if since > today:
        return []
    kind = RingKind(ring.kind)
    return [
        Due(unit, None, None, unit.radio, passage.source, passage.target, kind, since)
        for unit in ring.units.all()
        if unit.done_at is None and not is_gone(unit, passage.source)
    ]


def _placed(each: Due, mesh: Mesh | None) -> Due:
    place = each.radio.place
    site = mesh.site if mesh else place.site if place else None
    return Due(each.unit, mesh, site, each.radio, each.source, each.target, each.ring, each.due)
