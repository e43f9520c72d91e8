"""Which mesh a push token speaks for."""

from fleet.models import Mesh, PushToken
from fleet.queries.by_hand import Columns, one_row

_TOKEN = Columns(PushToken, "t", "id", "mesh", "label", "last_used_at")
_MESH = Columns(Mesh, "m", "id", "code")
_LIVE = f"""
    SELECT {_TOKEN.sql}, {_MESH.sql}
    FROM fleet_pushtoken t JOIN fleet_mesh m ON m.id = t.mesh_id
    WHERE t.digest = %(digest)s AND t.revoked_at IS NULL
"""


def live_token(digest: bytes) -> PushToken | None:
    """The token with this digest and its mesh, of which only the code is read; None where it was ended."""
    values = one_row(_LIVE, {"digest": digest})
    token = _TOKEN.row(values) if values else None
    if values and token:
        token.mesh = _MESH.row(values)
    return token


def of_erased_client(digest: bytes) -> PushToken | None:
    """The token with this digest, with its mesh, where the mesh's client was erased; ended tokens too."""
    erased = PushToken.objects.exclude(mesh__site__client__erased_at=None)
    return erased.filter(digest=digest).select_related("mesh__site__client__data_key").first()
