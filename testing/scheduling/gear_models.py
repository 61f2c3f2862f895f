from django.db import models
from django.db.models import F, Q
from django.utils.crypto import get_random_string
from django.utils.formats import date_format

from vehicles.calculations.ballast import COUNT, PIECE
from vehicles.calculations.ranges import CREW

ABOARD = CREW["instruments_kg"]


def _certificate_path(instrument, filename):
    """Stored under a random name: what a file was called never reaches the file system."""
    return f"instruments/{get_random_string(32)}"


class Instrument(models.Model):
    """A measuring instrument with its calibration certificate."""

    class Kind(models.TextChoices):
        GPS_SPEED = "gps_speed", "GPS speed"
        ANEMOMETER = "anemometer", "Anemometer"
        SCALES = "scales", "Scales"
        TILT_METER = "tilt_meter", "Tilt meter"
        DATA_LOGGER = "data_logger", "Data logger"

    kind = models.CharField(max_length=12, choices=Kind.choices)
    name = models.CharField(max_length=80)
    serial = models.CharField("serial number", max_length=40)
    certificate = models.CharField("calibration certificate", max_length=80, blank=True)
    calibrated_on = models.DateField(null=True, blank=True)
    valid_to = models.DateField("calibration holds until", null=True, blank=True)
    mass_kg = models.FloatField("mass aboard the vehicle", null=True, blank=True)
    document = models.FileField(upload_to=_certificate_path, max_length=200, blank=True)
    document_type = models.CharField(max_length=40, blank=True)
    in_service = models.BooleanField(default=True)

    class Meta:
        ordering = ["kind", "name"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["kind", "serial"], name="instrument_known_once"),
            models.CheckConstraint(
                name="calibration_ends_after_it_begins",
                condition=Q(calibrated_on__isnull=True)
                | Q(valid_to__isnull=True)
                | Q(valid_to__gte=F("calibrated_on")),
            ),
            models.CheckConstraint(
                name="instrument_mass_in_range",
                condition=Q(mass_kg__isnull=True) | Q(mass_kg__range=(ABOARD.low, ABOARD.high)),
            ),
        ]

    def __str__(self):
        return f"{self.name} ({self.get_kind_display()}, {self.serial})"

    def objection(self, day):
        """Why it cannot be relied on that day, or an empty text."""
        if not self.in_service:
            return f"{self} is out of service."
        if not self.certificate or self.valid_to is None:
            return f"{self} has no calibration certificate with a date until which it holds."
        if self.calibrated_on and self.calibrated_on > day:
            return f"{self} is calibrated from {date_format(self.calibrated_on)} only."
        if self.valid_to < day:
            return f"The calibration of {self} holds until {date_format(self.valid_to)} only."
        return ""


class BallastStock(models.Model):
    """Ballast of one kind, by the piece."""

    name = models.CharField(max_length=80, unique=True)
    piece_kg = models.FloatField("mass of one piece")
    pieces = models.PositiveIntegerField()
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["name"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(name="ballast_piece_in_range", condition=Q(piece_kg__range=(PIECE.low, PIECE.high))),
            models.CheckConstraint(name="ballast_pieces_in_range", condition=Q(pieces__lte=COUNT.high)),
        ]

    def __str__(self):
        return self.name

    @property
    def total_kg(self):
        return self.piece_kg * self.pieces
