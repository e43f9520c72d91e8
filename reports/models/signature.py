"""Who signed a sheet: each signature is bound to the digests of the revision that lay before the signer."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from reports.models.link import SheetLink
from reports.models.sheet import Sheet


class Method(models.TextChoices):
    TYPED = "typed", "typed name"
    DRAWN = "drawn", "drawn by hand"


class SignedAs(models.TextChoices):
    CLIENT = "client", "client"
    DEPUTY = "deputy", "deputy of the client"
    TECHNICIAN = "technician", "technician"
    WITNESS = "witness", "witness"


class Signature(models.Model):
    """One person's signature under one revision. It never changes, and no later revision inherits it.

    `strokes` are those of a drawn one (reports.facts.strokes). It was given through somebody's account or a link.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="signatures")
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=60)
    method = models.CharField(max_length=5, choices=Method)
    strokes = models.JSONField(default=list, blank=True)
    open_defects = models.CharField(max_length=500, blank=True)
    not_tested = models.CharField(max_length=500, blank=True)
    signed_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    account = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    link = models.ForeignKey(SheetLink, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    sheet_digest = models.CharField(max_length=64)
    sheet_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["signed_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(method=Method.TYPED, strokes=[]) | (Q(method=Method.DRAWN) & ~Q(strokes=[])),
                name="signature_has_strokes_where_drawn",
            ),
            models.CheckConstraint(
                condition=Q(account__isnull=True, link__isnull=False)
                | Q(account__isnull=False, link__isnull=True),
                name="signature_names_account_or_link",
            ),
        ]

    @property
    def said_role(self) -> str:
        """As what they signed, in words."""
        return SignedAs(self.role).label if self.role in SignedAs.values else self.role

    def __str__(self) -> str:
        return f"{self.name} under {self.sheet_id}"
