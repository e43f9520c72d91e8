"""Push tokens as they come with a request: Authorization: Bearer TOKEN."""

from datetime import datetime

from django.http import HttpRequest

from fleet.models import PushToken
from fleet.queries.push_tokens import live_token, of_erased_client
from fleet.queries.sealed import insist_whole
from fleet.verbs.push_tokens import digest_of, note_use

CHALLENGE = 'Bearer realm="snapshots"'


class TokenError(Exception):
    """No token, or one that does not count. Says nothing about which part of a wrong one was wrong."""


def token_of(request: HttpRequest, now: datetime) -> PushToken:
    """The live token that the request carries, its use noted; TokenError, or Erased with its mesh's client."""
    scheme, _, text = request.META.get("HTTP_AUTHORIZATION", "").partition(" ")
    if scheme.lower() != "bearer" or not text:
        raise TokenError("Send a push token of this mesh: Authorization: Bearer TOKEN.")
    digest = digest_of(text.strip())
    token = live_token(digest)
    if token is None:
        if known := of_erased_client(digest):
            insist_whole(known.mesh.site.client.data_key)
        raise TokenError("This push token is not known or was ended. Make a new one on the mesh's page.")
    note_use(token, now)
    return token
