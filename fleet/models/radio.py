"""A physical radio, where it is, and the times it led a mesh."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from fleet.models.address import check_eui64, check_extended_pan_id, is_address
from fleet.models.firmware import FirmwareRelease, RadioModel
from sites.models import POSITION_IS_WHOLE


class PlaceKind(models.TextChoices):
    SHELF = "shelf", "Shelf"
    VAN = "van", "Van"
    HOME = "home", "In a home"


class Place(models.Model):
    """Where a radio lies: a shelf, a van or a home."""

    code = models.CharField(max_length=16, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=6, choices=PlaceKind)
    site = models.OneToOneField(
        "sites.Site", null=True, blank=True, on_delete=models.CASCADE, related_name="place"
    )
    latitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    longitude = models.DecimalField(max_digits=8, decimal_places=5, null=True, blank=True)
    holder = models.ForeignKey(
        "sites.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="places"
    )

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=PlaceKind.values), name="place_kind_is_known"),
            models.CheckConstraint(
                condition=Q(kind=PlaceKind.HOME, site__isnull=False)
                | (~Q(kind=PlaceKind.HOME) & Q(site__isnull=True)),
                name="place_in_a_home_names_the_home",
                violation_error_message="A place in a home names its site; a shelf or a van names none.",
            ),
            models.CheckConstraint(
                condition=POSITION_IS_WHOLE,
                name="place_position_is_whole_and_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name


RADIO_CODE = RegexValidator(
    r"^[A-Za-z0-9][A-Za-z0-9.-]*$", "Write letters, digits, dots and dashes, such as A2-0110."
)


class RadioState(models.TextChoices):
    SHELVED = "shelved", "Shelved"
    BOOKED = "booked", "Booked"
    PREPARED = "prepared", "Prepared"
    ON_AIR = "on_air", "On air"
    SILENCED = "silenced", "Silenced"
    WIPED = "wiped", "Wiped"
    RETURNED = "returned", "Returned"
    SCRAPPED = "scrapped", "Scrapped"
    MISSING = "missing", "Missing"


class Radio(models.Model):
    """One unit. Its label shows the factory address; after a swap it carries another's."""

    code = models.CharField(max_length=20, unique=True, validators=[RADIO_CODE])
    model = models.ForeignKey(RadioModel, on_delete=models.PROTECT, related_name="radios")
    firmware = models.ForeignKey(
        FirmwareRelease, null=True, blank=True, on_delete=models.PROTECT, related_name="radios"
    )
    serial = models.CharField(max_length=60)
    factory_address = models.CharField("factory EUI-64", max_length=16, unique=True, validators=[check_eui64])
    carried_address = models.CharField(
        "carried EUI-64",
        max_length=16,
        null=True,
        blank=True,
        validators=[check_eui64],
        help_text="Empty: the factory address.",
    )
    address_written = models.BooleanField(
        "write-once address used", default=False, help_text="A write-once address can be set a single time."
    )
    state = models.CharField(max_length=10, choices=RadioState, default=RadioState.SHELVED)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="radios")
    spot = models.CharField("where exactly", max_length=200, blank=True, help_text="Room, wall, height.")
    feed = models.CharField(max_length=120, blank=True, help_text="The socket or supply it hangs on.")
    breaker = models.CharField(max_length=60, blank=True)
    batch = models.CharField(max_length=40, blank=True)
    bought_on = models.DateField(null=True, blank=True)
    warranty_months = models.PositiveSmallIntegerField(null=True, blank=True)
    dead_on_arrival_on = models.DateField(
        null=True, blank=True, help_text="It never worked: counted apart from failures in service."
    )
    claimed_on = models.DateField(
        "claimed under warranty on",
        null=True,
        blank=True,
        help_text="When its maker was asked to stand for it.",
    )
    blank_proven_at = models.DateTimeField(null=True, blank=True)
    blank_proven_by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["model", "serial"], name="radio_serial_once_per_model"),
            models.CheckConstraint(
                condition=is_address("factory_address"), name="radio_factory_address_is_eui64"
            ),
            models.CheckConstraint(
                condition=is_address("carried_address", blank=True), name="radio_carried_address_is_eui64"
            ),
            models.CheckConstraint(condition=Q(state__in=RadioState.values), name="radio_state_is_known"),
            models.UniqueConstraint(
                fields=["carried_address"],
                condition=Q(state=RadioState.ON_AIR),
                name="one_radio_on_air_per_address",
                violation_error_message="Another radio on air carries this address. One identity, one voice.",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def address(self) -> str:
        """The EUI-64 it speaks with."""
        return self.carried_address or self.factory_address


class EndReason(models.TextChoices):
    FAILED = "failed", "Failed"
    UPGRADE = "upgrade", "Upgrade"
    PRECAUTION = "precaution", "Precaution"
    THEFT = "theft", "Theft"
    ENDED = "ended", "Agreement ended"


class ServicePeriod(models.Model):
    """The time a radio led a mesh under one identity (extended PAN ID and head address).

    No two periods of one identity, one radio or one mesh overlap; migrations hold this in the database
    (an exclusion constraint on PostgreSQL, triggers on SQLite). The unique constraints here are for what
    is in service now.
    """

    radio = models.ForeignKey(Radio, on_delete=models.PROTECT, related_name="periods")
    mesh = models.ForeignKey("fleet.Mesh", on_delete=models.PROTECT, related_name="periods")
    head_address = models.CharField(max_length=16, validators=[check_eui64])
    extended_pan_id = models.CharField(max_length=16, validators=[check_extended_pan_id])
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)
    why_ended = models.CharField(max_length=12, choices=EndReason, blank=True)

    class Meta:
        ordering = ["mesh", "-since"]
        constraints = [
            models.CheckConstraint(condition=is_address("head_address"), name="period_head_address_is_eui64"),
            models.CheckConstraint(
                condition=is_address("extended_pan_id"), name="period_extended_pan_id_is_whole"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gt=F("since")), name="period_ends_after_it_starts"
            ),
            models.UniqueConstraint(
                fields=["head_address", "extended_pan_id"],
                condition=Q(until__isnull=True),
                name="one_identity_in_service_once",
                violation_error_message="Another radio is in service with this identity. One identity, one voice.",
            ),
            models.UniqueConstraint(
                fields=["radio"], condition=Q(until__isnull=True), name="one_radio_in_service_once"
            ),
            models.UniqueConstraint(
                fields=["mesh"], condition=Q(until__isnull=True), name="one_head_per_mesh"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.radio_id} on {self.mesh_id} from {self.since:%Y-%m-%d}"
