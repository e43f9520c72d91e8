"""A type of radio, its limits, and the builds that run on it with the firm's policy on each."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q


class AddressPolicy(models.TextChoices):
    """Whether a radio of this type can take over another's 64-bit address."""

    REWRITABLE = "rewritable", "Rewritable"
    WRITE_ONCE = "write_once", "Write once"
    FIXED = "fixed", "Fixed"
    UNKNOWN = "unknown", "Not known"


class Connection(models.TextChoices):
    SERIAL = "serial", "Serial"
    NETWORK = "network", "Network"
    BUILT_IN = "built_in", "Built in"


class LinkKeyStore(models.TextChoices):
    EXPLICIT = "explicit", "One by one"
    DERIVED = "derived", "Derived from a seed"
    UNKNOWN = "unknown", "Not known"


class Numbering(models.TextChoices):
    """How a model's builds are numbered; empty is not said, and then texts are not compared."""

    NUMBERS = "numbers", "Numbers: 6.9, 6.10, 6.11-rc1"
    LETTERS = "letters", "Numbers and letters: 1.2, 1.2a, 1.2b"
    DATE = "date", "Dates: 20270326 or 2027-03-26"


class RadioModel(models.Model):
    """A type of radio. Models of one family take over each other's networks; others need a tested pair."""

    code = models.CharField(max_length=12, unique=True)
    maker = models.CharField(max_length=60)
    name = models.CharField(max_length=60)
    family = models.CharField(max_length=20)
    connection = models.CharField(max_length=10, choices=Connection)
    address_policy = models.CharField(max_length=12, choices=AddressPolicy, default=AddressPolicy.UNKNOWN)
    link_key_store = models.CharField(max_length=10, choices=LinkKeyStore, default=LinkKeyStore.UNKNOWN)
    channel_mask = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="Channels of page 0 at full legal power, bit k for channel k."
    )
    reduced_channel_mask = models.PositiveBigIntegerField(
        default=0, help_text="Channels at reduced power only."
    )
    max_power_dbm = models.SmallIntegerField(null=True, blank=True)
    numbering = models.CharField("how its builds are numbered", max_length=10, choices=Numbering, blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(numbering="") | Q(numbering__in=Numbering.values),
                name="radio_model_numbering_is_known",
            ),
            models.UniqueConstraint(fields=["maker", "name"], name="radio_model_once_per_maker"),
            models.CheckConstraint(
                condition=Q(address_policy__in=AddressPolicy.values),
                name="radio_model_address_policy_is_known",
            ),
            models.CheckConstraint(
                condition=Q(max_power_dbm__isnull=True) | Q(max_power_dbm__gte=-20, max_power_dbm__lte=20),
                name="radio_model_power_is_minus_20_to_20_dbm",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class Resource(models.TextChoices):
    """Each table of a head radio has its own ceiling."""

    CHILDREN = "children", "direct children"
    NEIGHBOURS = "neighbours", "neighbours"
    ROUTES = "routes", "routes"
    SOURCE_ROUTES = "source_routes", "source routes"
    LINK_KEYS = "link_keys", "link keys"
    BINDINGS = "bindings", "bindings"
    GROUPS = "groups", "groups"
    GREEN_POWER = "green_power", "green power sinks"
    DEVICES = "devices", "devices in all"


class LimitSource(models.TextChoices):
    DECLARED = "declared", "Declared by the maker"
    OBSERVED = "observed", "Observed by the firm"


class ModelLimit(models.Model):
    """One ceiling of a model, who says so and since when. A missing row means not known."""

    model = models.ForeignKey(RadioModel, on_delete=models.CASCADE, related_name="limits")
    resource = models.CharField(max_length=16, choices=Resource)
    value = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    source = models.CharField(max_length=10, choices=LimitSource)
    noted_on = models.DateField()
    remark = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["model", "resource"]
        constraints = [
            models.UniqueConstraint(fields=["model", "resource", "source"], name="one_limit_per_source"),
            models.CheckConstraint(condition=Q(value__gte=1), name="limit_is_at_least_one"),
            models.CheckConstraint(condition=Q(resource__in=Resource.values), name="limit_resource_is_known"),
            models.CheckConstraint(condition=Q(source__in=LimitSource.values), name="limit_source_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.model.code} {self.get_resource_display()} {self.value}"


class FirmwarePolicy(models.TextChoices):
    """What the firm thinks of a build."""

    SEEN = "seen", "Seen"
    TRIAL = "trial", "On trial"
    ALLOWED = "allowed", "Allowed"
    PREFERRED = "preferred", "Preferred"
    HOLD = "hold", "On hold"
    BARRED = "barred", "Barred"


class SecurityModes(models.TextChoices):
    """Which kinds of trust a build can lead; empty is not known."""

    CENTRAL = "central", "Central only"
    DISTRIBUTED = "distributed", "Distributed only"
    BOTH = "both", "Both"


class FirmwareRelease(models.Model):
    """One build for one model and what can be set on it. The order key is set by hand: version texts do not sort.

    An empty yes/no means that nobody has tried; it is never taken for yes.
    """

    model = models.ForeignKey(RadioModel, on_delete=models.PROTECT, related_name="releases")
    version = models.CharField(max_length=60)
    order_key = models.IntegerField(
        null=True, blank=True, help_text="Higher is newer; empty: cannot be compared."
    )
    purpose = models.CharField(max_length=60, default="head radio")
    policy = models.CharField(max_length=10, choices=FirmwarePolicy, default=FirmwarePolicy.SEEN)
    policy_reason = models.CharField(max_length=200, blank=True)
    band_plan = models.CharField(
        max_length=20, blank=True, help_text="Builds for other bands do not compare."
    )
    digest = models.CharField("SHA-256", max_length=64, blank=True)
    sets_network_key = models.BooleanField("network key can be set", null=True, blank=True)
    sets_key_sequence = models.BooleanField("key sequence can be set", null=True, blank=True)
    sets_counter = models.BooleanField("frame counter can be set", null=True, blank=True)
    sets_pan_id = models.BooleanField("PAN ID can be set", null=True, blank=True)
    sets_extended_pan_id = models.BooleanField("extended PAN ID can be set", null=True, blank=True)
    sets_power = models.BooleanField("transmit power can be set", null=True, blank=True)
    stack_revision = models.PositiveSmallIntegerField(null=True, blank=True)
    security_modes = models.CharField(max_length=12, choices=SecurityModes, blank=True)
    erases_network = models.BooleanField(null=True, blank=True)
    can_go_back = models.BooleanField("downgrade possible", null=True, blank=True)

    class Meta:
        ordering = ["model", "-order_key", "version"]
        constraints = [
            models.UniqueConstraint(fields=["model", "version", "purpose"], name="release_once_per_purpose"),
            models.CheckConstraint(
                condition=Q(policy__in=FirmwarePolicy.values), name="release_policy_is_known"
            ),
            models.CheckConstraint(
                condition=Q(digest="") | Q(digest__regex=r"^[0-9a-f]{64}$"), name="release_digest_is_sha_256"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model.code} {self.version}"


class ReleaseChange(models.Model):
    """What was said anew of a build: its policy, or its place in the order. Append only."""

    class What(models.TextChoices):
        POLICY = "policy", "Policy"
        ORDER = "order", "Place in the order"

    release = models.ForeignKey(FirmwareRelease, on_delete=models.CASCADE, related_name="changes")
    what = models.CharField(max_length=8, choices=What)
    was = models.CharField(max_length=20, blank=True)
    became = models.CharField(max_length=20, blank=True)
    because = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.CharField(max_length=120)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(what__in=["policy", "order"]), name="release_change_is_of_a_known_kind"
            ),
            models.CheckConstraint(condition=~Q(because=""), name="release_change_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.release_id} {self.what} {self.was} to {self.became}"

    @property
    def said(self) -> str:
        """What it became, as people say it."""
        if self.what == self.What.POLICY:
            return FirmwarePolicy(self.became).label.lower()
        return f"place {self.became}" if self.became else "no place of its own"
