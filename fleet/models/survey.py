"""What a survey of the air heard at a mesh: the Wi-Fi networks around its head radio, on one day."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.mesh.channels import wifi_centre_mhz
from fleet.models.mesh import Mesh


class ChannelSurvey(models.Model):
    """One survey. Without a network in it, none was heard."""

    mesh = models.ForeignKey(Mesh, on_delete=models.CASCADE, related_name="surveys")
    done_on = models.DateField(help_text="The day at the home.")
    by = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["-done_on"]
        constraints = [
            models.UniqueConstraint(fields=["mesh", "done_on"], name="one_survey_a_mesh_and_day"),
        ]

    def __str__(self) -> str:
        return f"{self.mesh_id} {self.done_on}"


class WifiWidth(models.TextChoices):
    """20 MHz, or 40 MHz with the secondary channel above or below (IEEE 802.11, 2.4 GHz)."""

    TWENTY = "20", "20 MHz"
    FORTY_UP = "40+", "40 MHz, from the channel up"
    FORTY_DOWN = "40-", "40 MHz, from the channel down"


class WifiHeard(models.Model):
    """One Wi-Fi network at 2.4 GHz (IEEE 802.11): its channel, width, level at the head radio and share of time on air.

    No name is kept: it often names a household.
    """

    survey = models.ForeignKey(ChannelSurvey, on_delete=models.CASCADE, related_name="heard")
    channel = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(14)])
    width = models.CharField(max_length=3, choices=WifiWidth, default=WifiWidth.TWENTY)
    level_dbm = models.SmallIntegerField(
        "level, dBm", validators=[MinValueValidator(-110), MaxValueValidator(0)]
    )
    busy_percent = models.PositiveSmallIntegerField("busy, %", validators=[MaxValueValidator(100)])

    class Meta:
        ordering = ["-level_dbm", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(channel__gte=1, channel__lte=14), name="wifi_channel_is_1_to_14"
            ),
            models.CheckConstraint(
                condition=Q(width__in=WifiWidth.values), name="wifi_width_is_20_or_40_mhz"
            ),
            models.CheckConstraint(
                condition=Q(level_dbm__gte=-110, level_dbm__lte=0), name="wifi_level_is_minus_110_to_0_dbm"
            ),
            models.CheckConstraint(condition=Q(busy_percent__lte=100), name="wifi_busy_is_up_to_100_percent"),
        ]

    @property
    def megahertz(self) -> int:
        """How wide it is."""
        return 20 if self.width == WifiWidth.TWENTY else 40

    @property
    def centre_mhz(self) -> int:
        """The middle of what it covers: 10 MHz beside its channel's centre where it is 40 MHz wide."""
        beside = {WifiWidth.FORTY_UP: 10, WifiWidth.FORTY_DOWN: -10}
        return wifi_centre_mhz(self.channel) + beside.get(WifiWidth(self.width), 0)

    def __str__(self) -> str:
        return f"Wi-Fi channel {self.channel}, {self.level_dbm} dBm"
