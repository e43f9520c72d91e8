"""A planned swap of a mesh's radio: who agreed to what, how far it is, and the proof of each step."""

import uuid

from django.db import models
from django.db.models import F, Q

from fleet.models.mesh import Mesh, Node
from fleet.models.radio import Radio
from fleet.models.sealed import DataKey
from fleet.models.snapshot import Snapshot
from fleet.planning.replacing.states import ENDED, State

STATES = [(state.value, state.words) for state in State]
OVER = sorted(state.value for state in ENDED)
WITHOUT_RADIO = (State.ASKED, State.AGREED, State.DROPPED)
"""States in which nobody need have chosen the radio yet."""


class Why(models.TextChoices):
    FAILED = "failed", "The radio failed"
    UPGRADE = "upgrade", "A better radio"
    PRECAUTION = "precaution", "Before it fails"
    THEFT = "theft", "It was lost or stolen"


class Silencing(models.TextChoices):
    UNPLUGGED = "unplugged", "Unplugged, no battery in it"
    BATTERY_OUT = "battery_out", "Unplugged and its battery taken out"
    DEAD = "dead", "Burnt out: it takes no power any more"
    GONE = "gone", "Lost or stolen: it is out of reach"


class Replacements(models.QuerySet["Replacement"]):
    """Rows of replacements."""

    def under_way(self) -> "Replacements":
        """Those that have not come to an end."""
        return self.exclude(state__in=OVER)

    def over(self) -> "Replacements":
        """Those that have."""
        return self.filter(state__in=OVER)


class Replacement(models.Model):
    """One radio takes over from another. Moves are made by verbs only, each with a ReplacementMove of its own."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    mesh = models.ForeignKey(Mesh, on_delete=models.PROTECT, related_name="replacements")
    state = models.CharField(max_length=12, choices=STATES, default=State.ASKED.value)
    why = models.CharField(max_length=12, choices=Why)
    asked_because = models.CharField(max_length=200)
    asked_at = models.DateTimeField()
    asked_by = models.CharField(max_length=120)
    old_radio = models.ForeignKey(
        Radio, null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_in"
    )
    new_radio = models.ForeignKey(
        Radio, null=True, blank=True, on_delete=models.PROTECT, related_name="replacing_in"
    )
    technician = models.ForeignKey(
        "sites.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="replacements"
    )
    second = models.ForeignKey(
        "sites.Person", null=True, blank=True, on_delete=models.PROTECT, related_name="replacements_as_second"
    )
    needs_licence = models.BooleanField("the work touches the mains", default=False)
    needs_two = models.BooleanField("two people are needed", default=False)
    begins_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    frost_forecast_c = models.SmallIntegerField("coldest forecast, °C", null=True, blank=True)
    consent_by = models.CharField("who in the house agreed", max_length=120, blank=True)
    fall_backs_told = models.BooleanField("the people in the house know how to do without", default=False)
    way_back_read = models.BooleanField("somebody read whether there is a way back", default=False)
    number = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="The last number given out for it."
    )
    copy = models.ForeignKey(
        Snapshot, null=True, blank=True, on_delete=models.PROTECT, related_name="replacements"
    )
    first_word_at = models.DateTimeField(null=True, blank=True, help_text="When the new radio went on air.")
    watched_until = models.DateTimeField(null=True, blank=True)
    moved_at = models.DateTimeField()

    objects = Replacements.as_manager()

    class Meta:
        ordering = ["-asked_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=[state.value for state in State]), name="replacement_state_is_known"
            ),
            models.CheckConstraint(condition=Q(why__in=Why.values), name="replacement_reason_is_known"),
            models.CheckConstraint(
                condition=Q(new_radio__isnull=False) | Q(state__in=[state.value for state in WITHOUT_RADIO]),
                name="replacement_names_its_radio",
            ),
            models.CheckConstraint(
                condition=Q(new_radio__isnull=True)
                | Q(old_radio__isnull=True)
                | ~Q(new_radio=F("old_radio")),
                name="replacement_is_by_another_radio",
                violation_error_message="new_radio: it is the one in service; choose another.",
            ),
            models.CheckConstraint(
                condition=~Q(state=State.WRITTEN.value) | Q(number__isnull=False),
                name="written_radio_has_a_number",
            ),
            models.CheckConstraint(
                condition=Q(begins_at__isnull=True, ends_at__isnull=True) | Q(ends_at__gt=F("begins_at")),
                name="replacement_window_is_whole",
                violation_error_message="ends_at: the time must end after it begins; give both ends, or neither.",
            ),
            models.UniqueConstraint(
                fields=["mesh"],
                condition=~Q(state__in=OVER),
                name="one_open_replacement_per_mesh",
                violation_error_message="Another replacement of this mesh is under way.",
            ),
            models.UniqueConstraint(
                fields=["new_radio"],
                condition=~Q(state__in=OVER),
                name="one_open_replacement_per_radio",
                violation_error_message="This radio is meant for another replacement.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mesh_id} {self.state}"

    @property
    def stands(self) -> State:
        """The state, as decisions know it."""
        return State(self.state)


class ReplacementMove(models.Model):
    """One move that was made: from where to where, when and by whom. Append only."""

    replacement = models.ForeignKey(Replacement, on_delete=models.CASCADE, related_name="moves")
    was = models.CharField(max_length=12, choices=STATES, blank=True)
    became = models.CharField(max_length=12, choices=STATES)
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.was} to {self.became}"


class SilenceProof(models.Model):
    """That a radio no longer speaks: how, seen by whom, and a photo or a second person who saw it."""

    replacement = models.ForeignKey(Replacement, on_delete=models.CASCADE, related_name="silences")
    radio = models.ForeignKey(Radio, on_delete=models.PROTECT, related_name="silences")
    how = models.CharField(max_length=12, choices=Silencing)
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    second = models.CharField(max_length=120, blank=True)
    photo_sha256 = models.CharField("SHA-256 of the photo", max_length=64, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(how__in=Silencing.values), name="silence_is_of_a_known_kind"),
            models.CheckConstraint(
                condition=~Q(photo_sha256="") | ~Q(second=""), name="silence_has_a_photo_or_a_second_person"
            ),
            models.CheckConstraint(condition=~Q(by=F("second")), name="silence_second_is_somebody_else"),
        ]

    def __str__(self) -> str:
        return f"{self.radio_id} {self.how}"


class SealedPhoto(models.Model):
    """The photo of a proof, sealed under the client's data key: what is seen in a home goes with that key."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    proof = models.OneToOneField(SilenceProof, on_delete=models.CASCADE, related_name="photo")
    data_key = models.ForeignKey(DataKey, on_delete=models.PROTECT, related_name="photos")
    sealed = models.BinaryField(editable=False)

    def __str__(self) -> str:
        return f"photo of {self.proof_id}"


class WatchMark(models.Model):
    """What is known of one device since the new radio spoke."""

    replacement = models.ForeignKey(Replacement, on_delete=models.CASCADE, related_name="marks")
    node = models.ForeignKey(Node, on_delete=models.CASCADE, related_name="marks")
    heard_at = models.DateTimeField(null=True, blank=True)
    tried_at = models.DateTimeField("tried by hand", null=True, blank=True)
    explained = models.CharField("why it is silent", max_length=200, blank=True)
    by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["replacement", "node"]
        constraints = [
            models.UniqueConstraint(fields=["replacement", "node"], name="one_watch_mark_per_device")
        ]

    def __str__(self) -> str:
        return f"{self.node_id}"
