"""What the pages about clients ask."""

from django.db.models import Count, Prefetch, Q, QuerySet

from sites.models import Client, Site


def homes_by_client(clients: QuerySet[Client], sites: QuerySet[Site], words: str = "") -> QuerySet[Client]:
    """Clients in reading order, each with its homes (`open_sites`); every word must be found somewhere.

    Looked through: the client's name, reading and phone, and the code and name of each home. Two statements.
    """
    for word in words.split():
        clients = clients.filter(
            Q(name__icontains=word)
            | Q(reading__icontains=word)
            | Q(phone__contains=word)
            | Q(pk__in=sites.filter(Q(code__icontains=word) | Q(name__icontains=word)).values("client"))
        )
    return clients.prefetch_related(Prefetch("sites", sites.order_by("code"), to_attr="open_sites")).order_by(
        "reading", "name", "pk"
    )


def erased(clients: QuerySet[Client]) -> int:
    """How many of these clients were erased. One statement."""
    return clients.exclude(erased_at=None).count()


def homes_of(client: Client, sites: QuerySet[Site]) -> QuerySet[Site]:
    """The open homes of one client, each with the number of its meshes in care. One statement."""
    in_care = Count("meshes", filter=Q(meshes__in_care=True))
    return sites.filter(client=client).annotate(mesh_count=in_care).order_by("code")
