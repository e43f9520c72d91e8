"""Which channel a mesh should be on, by the newest survey of the air and the home's other meshes."""

from dataclasses import dataclass

from django.db.models import Count, Q

from fleet.mesh.channels import CHANNELS, Advice, WifiNeighbour, advise, channels_in_mask
from fleet.models import ChannelSurvey, Mesh, Radio, ServicePeriod, WifiHeard
from fleet.planning.channel_moves import Occupant, channels_to_avoid, mover, on_same_channel


@dataclass(frozen=True, slots=True)
class Air:
    """What is known of the air around a mesh. advice is None where its channel is not known.

    survey None: nobody has listened, and only the home's own meshes are weighed. together: those on its channel;
    mover: which of them and itself should move first.
    """

    mesh: Occupant
    survey: ChannelSurvey | None
    heard: tuple[WifiHeard, ...]
    together: tuple[Occupant, ...]
    mover: Occupant | None
    advice: Advice | None


def air_of(mesh: Mesh, head: ServicePeriod | None) -> Air:
    """In a fixed number of statements. head: the radio in service."""
    survey = mesh.surveys.first()
    heard = tuple(survey.heard.all()) if survey else ()
    meshes = Mesh.objects.filter(Q(pk=mesh.pk) | Q(site=mesh.site_id, in_care=True)).order_by("code")
    sleeping = Count("nodes", filter=Q(nodes__gone_since=None, nodes__sleeps=True))
    found = {row.pk: Occupant(row.code, row.channel, row.n) for row in meshes.annotate(n=sleeping)}
    mine = found.pop(mesh.pk)
    others = tuple(found.values())
    return Air(
        mesh=mine,
        survey=survey,
        heard=heard,
        together=on_same_channel(mine, others),
        mover=mover(mine, others),
        advice=_advice(mine, others, heard, head.radio if head else None),
    )


def _advice(
    mine: Occupant, others: tuple[Occupant, ...], heard: tuple[WifiHeard, ...], radio: Radio | None
) -> Advice | None:
    if mine.channel is None:
        return None
    reduced: frozenset[int] = frozenset()
    allowed = frozenset(CHANNELS)
    if radio is not None:
        reduced = channels_in_mask(radio.model.reduced_channel_mask)
        if radio.model.channel_mask is not None:
            allowed = channels_in_mask(radio.model.channel_mask) | reduced
    neighbours = [_neighbour(each) for each in heard]
    return advise(mine.channel, neighbours, channels_to_avoid(mine, others), reduced, allowed)


def _neighbour(heard: WifiHeard) -> WifiNeighbour:
    return WifiNeighbour(
        centre_mhz=float(heard.centre_mhz),
        width_mhz=float(heard.megahertz),
        level_dbm=float(heard.level_dbm),
        duty=heard.busy_percent / 100,
    )
