"""Whether the old radio of a replacement was given a number of its own since it was silenced."""

from fleet.models import JournalEntry, Replacement
from fleet.queries.restoring import GIVEN_OUT


def number_for_old(swap: Replacement) -> int | None:
    """The last number that was given out for it, as the journal says for which radio; None where there is none."""
    silenced = swap.silences.filter(radio=swap.old_radio).order_by("at").last()
    if swap.old_radio is None or silenced is None:
        return None
    lines = JournalEntry.objects.filter(subject=swap.mesh.code, what=GIVEN_OUT, at__gte=silenced.at)
    numbers = [
        line.details.get("counter") for line in lines if line.details.get("radio") == swap.old_radio.code
    ]
    return max((number for number in numbers if isinstance(number, int)), default=None)
