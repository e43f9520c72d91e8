"""Sealed octets and the wrapped keys that open them. Nothing here is readable without the key ring."""

import uuid

from django.db import models
from django.db.models import Q

from fleet.models.snapshot import Arrival, Snapshot, TrayItem


class DataKey(models.Model):
    """A client's data key, wrapped (RFC 3394) by a key of the ring. No client: the book's own, for the tray."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    client = models.OneToOneField(
        "sites.Client", null=True, blank=True, on_delete=models.PROTECT, related_name="data_key"
    )
    ring_key = models.CharField(max_length=32)
    wrapped = models.BinaryField(null=True, editable=False)
    made_at = models.DateTimeField()
    destroyed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(destroyed_at__isnull=True, wrapped__isnull=False)
                | Q(destroyed_at__isnull=False, wrapped__isnull=True),
                name="data_key_is_whole_or_destroyed",
            ),
            models.UniqueConstraint(
                models.Value(1), condition=Q(client__isnull=True), name="one_data_key_for_the_book"
            ),
        ]

    def __str__(self) -> str:
        return str(self.uid)


class PackingBase(models.Model):
    """The document that a mesh's older copies are packed against, so that years of near-equal ones stay small.

    It lies in two copies of its own, and the newest sound snapshot is always packed alone: damage to any one
    row loses at most that row. The first base of a mesh is whole; later ones are packed against it, so that a base
    close in time costs little.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    mesh = models.ForeignKey("fleet.Mesh", on_delete=models.PROTECT, related_name="packing_bases")
    source = models.ForeignKey(
        Snapshot, null=True, on_delete=models.SET_NULL, related_name="+", help_text="Whose octets these are."
    )
    root = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="leaves",
        help_text="Empty: whole.",
    )
    data_key = models.ForeignKey(DataKey, on_delete=models.PROTECT, related_name="bases")
    sha256 = models.CharField("SHA-256", max_length=64)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return str(self.uid)


class BaseCopy(models.Model):
    """One of the two sealed copies of a packing base."""

    base = models.ForeignKey(PackingBase, on_delete=models.CASCADE, related_name="copies")
    place = models.PositiveSmallIntegerField()
    sealed = models.BinaryField(editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["base", "place"], name="one_base_copy_per_place"),
            models.CheckConstraint(condition=Q(place__in=[1, 2]), name="base_lies_in_two_copies"),
        ]

    def __str__(self) -> str:
        return f"{self.base_id} {self.place}"


class SealedBody(models.Model):
    """The octets of one document: packed, sealed, and bound to the row they belong to."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    snapshot = models.OneToOneField(
        Snapshot, null=True, blank=True, on_delete=models.CASCADE, related_name="sealed_body"
    )
    arrival = models.OneToOneField(
        Arrival, null=True, blank=True, on_delete=models.CASCADE, related_name="sealed_body"
    )
    tray_item = models.OneToOneField(
        TrayItem, null=True, blank=True, on_delete=models.CASCADE, related_name="sealed_body"
    )
    data_key = models.ForeignKey(DataKey, on_delete=models.PROTECT, related_name="bodies")
    base = models.ForeignKey(
        PackingBase,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="bodies",
        help_text="Empty: alone.",
    )
    sealed = models.BinaryField(editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(snapshot__isnull=False, arrival__isnull=True, tray_item__isnull=True)
                | Q(snapshot__isnull=True, arrival__isnull=False, tray_item__isnull=True)
                | Q(snapshot__isnull=True, arrival__isnull=True, tray_item__isnull=False),
                name="sealed_body_belongs_to_one_row",
            ),
        ]

    def __str__(self) -> str:
        return str(self.uid)


class PushToken(models.Model):
    """Lets one machine push snapshots of one mesh, and nothing else. Only its digest is stored."""

    mesh = models.ForeignKey("fleet.Mesh", on_delete=models.CASCADE, related_name="push_tokens")
    digest = models.BinaryField(unique=True, max_length=32, editable=False)
    label = models.CharField(max_length=120)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=120, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.mesh_id} {self.label}"
