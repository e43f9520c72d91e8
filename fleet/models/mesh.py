"""A network at a home, and the devices in it."""

import uuid
from datetime import datetime

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from fleet.mesh.codes import MESH_CODE
from fleet.models.address import check_eui64, check_extended_pan_id, is_address
from fleet.models.keep_rule import KeepRule
from fleet.planning.readiness import State
from fleet.snapshots.facts import LinkKeyKind, Power, Role, SecurityMode

MESH_CODE_FORM = RegexValidator(
    rf"^{MESH_CODE}$", "Write the site's code, a dash and one letter, such as KELP-7-A."
)
SECURITY_MODES = [(mode.value, mode.value) for mode in SecurityMode]
READINESS = [(state.value, state.value.replace("_", " ")) for state in State]


class Mesh(models.Model):
    """One 802.15.4 network led by one radio. What the last round said of it is kept here for the board."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.PROTECT, related_name="meshes")
    code = models.CharField(max_length=20, unique=True, validators=[MESH_CODE_FORM])
    name = models.CharField(
        max_length=120, blank=True, help_text="Which part of the home, such as west annex."
    )
    safety_relevant = models.BooleanField(
        default=False, help_text="Holds locks, heating, smoke, water or calls."
    )
    in_care = models.BooleanField(default=True)
    extended_pan_id = models.CharField(
        "extended PAN ID",
        max_length=16,
        null=True,
        blank=True,
        unique=True,
        validators=[check_extended_pan_id],
    )
    head_address = models.CharField(
        "head EUI-64", max_length=16, null=True, blank=True, validators=[check_eui64]
    )
    pan_id = models.PositiveIntegerField(
        "PAN ID", null=True, blank=True, validators=[MaxValueValidator(0xFFFE)]
    )
    channel = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(11), MaxValueValidator(26)]
    )
    key_mark = models.CharField(max_length=8, blank=True, help_text="Eight digits of the key's keyed digest.")
    key_digest = models.BinaryField(null=True, editable=False, help_text="Keyed digest, to find shared keys.")
    key_sequence = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(255)]
    )
    update_id = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(255)])
    security_mode = models.CharField(max_length=12, choices=SECURITY_MODES, blank=True)
    power_dbm = models.SmallIntegerField("transmit power, dBm", null=True, blank=True)
    seed_held = models.BooleanField("snapshot holds the link-key seed", default=False)
    table_use = models.JSONField(default=dict, blank=True, help_text="Entries in use in the head's tables.")
    roll = models.JSONField(
        default=dict,
        blank=True,
        help_text="Each node of the newest sound snapshot, and when it was last heard.",
    )
    nodes_mark = models.CharField(
        max_length=64, blank=True, help_text="Digest of the node rows but for last heard."
    )
    joins_per_month = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.0)])
    keep_rule = models.ForeignKey(
        KeepRule, null=True, blank=True, on_delete=models.PROTECT, related_name="meshes"
    )
    controller = models.CharField(max_length=120, blank=True, help_text="The machine that drives the radio.")
    connection_path = models.CharField(
        max_length=200, blank=True, help_text="A stable path, not a port number."
    )

    readiness = models.CharField(max_length=24, choices=READINESS, default=State.UNKNOWN.value)
    readiness_rank = models.PositiveSmallIntegerField(default=1, help_text="Worst first: 0 is bare.")
    readiness_gate = models.CharField(max_length=40, blank=True)
    readiness_reason = models.CharField(max_length=300, blank=True)
    readiness_act = models.CharField(max_length=300, blank=True)
    readiness_told = models.JSONField(
        default=dict, blank=True, help_text="Reason and act by their codes, for other languages."
    )
    minutes_low = models.PositiveIntegerField(null=True, blank=True)
    minutes_likely = models.PositiveIntegerField(null=True, blank=True)
    minutes_high = models.PositiveIntegerField(null=True, blank=True)
    rejoin_minutes = models.PositiveIntegerField(null=True, blank=True)
    best_spare = models.ForeignKey(
        "fleet.Radio", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    assessed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["code"]
        indexes = [
            models.Index(
                fields=["in_care", "readiness_rank", "-safety_relevant", "code"], name="mesh_worst_first"
            ),
            models.Index(fields=["key_mark"], name="mesh_by_key_mark"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(code__regex=rf"^{MESH_CODE}$"), name="mesh_code_has_its_form"),
            models.CheckConstraint(
                condition=is_address("extended_pan_id", blank=True), name="mesh_extended_pan_id_is_whole"
            ),
            models.CheckConstraint(
                condition=is_address("head_address", blank=True), name="mesh_head_is_eui64"
            ),
            models.CheckConstraint(
                condition=Q(channel__isnull=True) | Q(channel__gte=11, channel__lte=26),
                name="mesh_channel_is_11_to_26",
            ),
            models.CheckConstraint(
                condition=Q(pan_id__isnull=True) | Q(pan_id__lte=0xFFFE), name="mesh_pan_id_is_up_to_fffe"
            ),
            models.CheckConstraint(
                condition=Q(key_sequence__isnull=True) | Q(key_sequence__lte=255),
                name="mesh_key_sequence_is_one_octet",
            ),
            models.CheckConstraint(
                condition=Q(readiness__in=[state.value for state in State]), name="mesh_readiness_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.code


WRITTEN_BY_SNAPSHOTS = (
    "extended_pan_id",
    "head_address",
    "pan_id",
    "channel",
    "key_mark",
    "key_digest",
    "key_sequence",
    "update_id",
    "security_mode",
    "power_dbm",
    "seed_held",
    "table_use",
    "nodes_mark",
    "roll",
)
"""Fields of a mesh that its newest sound snapshot sets."""

WRITTEN_BY_ROUNDS = (
    "joins_per_month",
    "readiness",
    "readiness_rank",
    "readiness_gate",
    "readiness_reason",
    "readiness_act",
    "readiness_told",
    "minutes_low",
    "minutes_likely",
    "minutes_high",
    "rejoin_minutes",
    "best_spare",
    "assessed_at",
)
"""Fields of a mesh that the round's judgement sets."""


class SafetyKind(models.TextChoices):
    LOCK = "lock", "lock"
    HEAT = "heat", "heating"
    SMOKE = "smoke", "smoke alarm"
    WATER = "water", "water"
    GAS = "gas", "gas"
    CALL = "call", "call for help"
    SHUTTER = "shutter", "shutter"


NODE_ROLES = [(Role.ROUTER.value, "router"), (Role.END_DEVICE.value, "end device")]
POWERS = [(power.value, power.value) for power in Power]
LINK_KEY_KINDS = [(kind.value, kind.value.replace("_", " ")) for kind in LinkKeyKind]


class Node(models.Model):
    """A device of a mesh as the newest sound snapshot shows it, with what people have added."""

    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="nodes")
    extended_address = models.CharField("EUI-64", max_length=16, validators=[check_eui64])
    short_address = models.PositiveIntegerField(null=True, blank=True, validators=[MaxValueValidator(0xFFF7)])
    role = models.CharField(max_length=10, choices=NODE_ROLES, blank=True)
    parent_address = models.CharField(max_length=16, blank=True)
    power = models.CharField(max_length=10, choices=POWERS, blank=True)
    link_key_kind = models.CharField(max_length=12, choices=LINK_KEY_KINDS, blank=True)
    link_key_held = models.BooleanField("snapshot holds its link key", default=False)
    sleeps = models.BooleanField(null=True, blank=True)
    longest_silence_seconds = models.PositiveIntegerField(null=True, blank=True)
    label = models.CharField(max_length=120, blank=True)
    room = models.CharField(max_length=120, blank=True)
    named_by_hand = models.BooleanField(
        default=False, help_text="Somebody gave label or room: copies no longer change them."
    )
    first_seen = models.DateTimeField(null=True, blank=True)
    gone_since = models.DateTimeField(
        null=True, blank=True, help_text="The snapshot that no longer lists it."
    )
    kind = models.CharField(
        "what it is", max_length=60, blank=True, help_text="Such as lamp or radiator valve."
    )
    safety_kind = models.CharField(max_length=8, choices=SafetyKind, blank=True)
    by_hand = models.CharField("how to use it by hand", max_length=200, blank=True)
    wake = models.CharField("how to wake it", max_length=200, blank=True)
    battery = models.CharField("battery type and count", max_length=60, blank=True)
    tested_by_hand_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["mesh", "room", "label", "extended_address"]
        constraints = [
            models.UniqueConstraint(fields=["mesh", "extended_address"], name="node_once_per_mesh"),
            models.CheckConstraint(condition=is_address("extended_address"), name="node_address_is_eui64"),
            models.CheckConstraint(
                condition=Q(short_address__isnull=True) | Q(short_address__gte=1, short_address__lte=0xFFF7),
                name="node_short_address_is_unicast",
            ),
            models.CheckConstraint(
                condition=Q(safety_kind="") | Q(safety_kind__in=SafetyKind.values),
                name="node_safety_kind_is_known",
            ),
        ]

    def __str__(self) -> str:
        return self.label or self.extended_address

    @property
    def last_heard(self) -> datetime | None:
        """Kept in the mesh's roll: it changes with every snapshot, and the node row should not."""
        heard = self.mesh.roll.get(self.extended_address)
        return datetime.fromisoformat(heard) if heard else None
