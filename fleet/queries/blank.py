"""Whether a radio is blank: somebody read it out and found nothing, and nothing was written to it since."""

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Drill, DrillKind, Radio


def with_proof(radios: QuerySet[Radio]) -> QuerySet[Radio]:
    """The same radios, each with `written_since`: a drill wrote to it after it was proven blank."""
    drills = Drill.objects.exclude(kind=DrillKind.PAPER).filter(radio=OuterRef("pk"))
    return radios.annotate(written_since=Exists(drills.filter(done_at__gt=OuterRef("blank_proven_at"))))


def is_blank(radio: Radio) -> bool:
    """One rule for shelf, readiness and the twelve items. A statement of its own but for radios read with_proof."""
    if radio.blank_proven_at is None:
        return False
    written = getattr(radio, "written_since", None)
    if written is None:
        rows = Drill.objects.exclude(kind=DrillKind.PAPER)
        written = (
            radio.pk is not None and rows.filter(radio=radio, done_at__gt=radio.blank_proven_at).exists()
        )
    return not written
