"""Push tokens as an authentication of the API: Authorization: Bearer TOKEN."""

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from fleet.models import PushToken
from fleet.verbs.push_tokens import digest_of, note_use


class Pusher:
    """Who pushes: a machine, known by its token only."""

    is_authenticated = True

    def __init__(self, token: PushToken) -> None:
        self.token = token

    def __str__(self) -> str:
        return f"push token {self.token.label}"


class PushTokenAuthentication(BaseAuthentication):
    """Accepts one live token; says nothing about which part of a wrong one was wrong."""

    def authenticate(self, request: Request) -> tuple[Pusher, PushToken] | None:
        scheme, _, text = get_authorization_header(request).decode("latin-1").partition(" ")
        if scheme.lower() != "bearer" or not text:
            return None
        token = (
            PushToken.objects.select_related("mesh__site__client")
            .filter(digest=digest_of(text.strip()), revoked_at=None)
            .first()
        )
        if token is None:
            raise AuthenticationFailed(
                "This push token is not known or was ended. Make a new one on the mesh's page."
            )
        note_use(token, timezone.now())
        return Pusher(token), token

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="snapshots"'
