"""The vehicle as presented, what was modified on it, and the papers that came with it."""

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.utils.crypto import get_random_string

from vehicles import measured
from vehicles.calculations import case, measurements, modifications, ranges
from vehicles.wording import in_a_sentence

PLATE_STATES = [(code, code.title() if len(code) > 3 else code) for code in case.JURISDICTIONS]


def _range_constraints():
    """The database refuses what the forms refuse, from the same table."""
    return [
        models.CheckConstraint(
            name=f"vehicle_{name}_in_range",
            condition=models.Q((f"{name}__isnull", True)) | models.Q((f"{name}__range", (row.low, row.high))),
            violation_error_message=f"{row.label}: allowed is {row}.",
        )
        for name, row in (ranges.VEHICLE | ranges.PLACES | measured.COLUMNS).items()
    ]


def _measured(help_text=""):
    return models.FloatField(null=True, blank=True, help_text=help_text)


class Vehicle(models.Model):
    """A vehicle as it was presented for one job. The same car brought again is presented again.

    Everything measured may be missing: what is not known is named as undecided, never guessed.
    """

    make = models.CharField(max_length=40)
    model = models.CharField(max_length=60)
    built_year = models.PositiveSmallIntegerField(
        "year built", null=True, blank=True, validators=[MinValueValidator(1900), MaxValueValidator(2100)]
    )
    vin = models.CharField(
        "VIN",
        max_length=17,
        blank=True,
        db_index=True,
        validators=[RegexValidator(r"^[A-HJ-NPR-Z0-9]{17}$", "A VIN has 17 characters and no I, O or Q.")],
    )
    # Vehicles built before VINs were given have only this.
    chassis_number = models.CharField(max_length=30, blank=True)
    plate = models.CharField(max_length=10, blank=True, db_index=True)
    plate_state = models.CharField(max_length=3, blank=True, choices=PLATE_STATES)

    adr_category = models.CharField(
        "ADR category", max_length=3, blank=True, choices=[(code, code) for code in case.ADR_CATEGORIES]
    )
    gvm_kg = _measured()
    seats = models.PositiveSmallIntegerField(null=True, blank=True)
    empty_mass_kg = _measured()
    front_axle_kg = _measured()
    rear_axle_kg = _measured()
    front_axle_rating_kg = _measured()
    rear_axle_rating_kg = _measured()
    overall_width_mm = _measured()
    overall_length_mm = _measured()
    wheelbase_mm = _measured()
    front_overhang_mm = _measured()
    track_front_mm = _measured()
    track_rear_mm = _measured()
    overall_height_mm = _measured()
    cg_height_mm = _measured()
    fuel = models.CharField(max_length=8, blank=True, choices=[(name, name) for name in case.FUELS])
    fuel_tank_l = _measured()
    fuel_level = _measured()
    tyre = models.CharField(max_length=20, blank=True)
    esc = models.BooleanField("stability control fitted", null=True, blank=True)
    driver_x_mm = _measured()
    fuel_x_mm = _measured()
    instruments_x_mm = _measured()
    seats_x_mm = _measured()
    luggage_x_mm = _measured()
    goods_x_mm = _measured()
    row_1_x_mm = _measured()
    row_1_seats = models.PositiveSmallIntegerField(null=True, blank=True)
    row_2_x_mm = _measured()
    row_2_seats = models.PositiveSmallIntegerField(null=True, blank=True)
    row_3_x_mm = _measured()
    row_3_seats = models.PositiveSmallIntegerField(null=True, blank=True)
    corner_front_left_kg = _measured()
    corner_front_right_kg = _measured()
    corner_rear_left_kg = _measured()
    corner_rear_right_kg = _measured()
    lift_raised_axle = models.CharField(
        "axle that was raised", max_length=5, blank=True, choices=[(name, name) for name in measurements.AXLES]
    )
    lift_static_radius_mm = _measured()
    lift_scale_error_kg = _measured()
    lift_angle_error_deg = _measured()
    lift_1_raised_mm = _measured()
    lift_1_held_axle_kg = _measured()
    lift_2_raised_mm = _measured()
    lift_2_held_axle_kg = _measured()
    lift_3_raised_mm = _measured()
    lift_3_held_axle_kg = _measured()
    lift_4_raised_mm = _measured()
    lift_4_held_axle_kg = _measured()
    missing_equipment_kg = _measured()
    market_value_aud = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)

    class Meta:
        constraints = _range_constraints()

    def __str__(self):
        return " ".join(part for part in (self.name, self.plate) if part)

    @property
    def name(self):
        return " ".join(str(part) for part in (self.built_year, self.make, self.model) if part)


class Modification(models.Model):
    """One modification. ``values`` holds the measurements that its kind asks for."""

    vehicle = models.ForeignKey(Vehicle, on_delete=models.CASCADE, related_name="modifications")
    kind = models.CharField(max_length=30, choices=[(kind.key, kind.title) for kind in modifications.KINDS.values()])
    values = models.JSONField(default=dict, blank=True)
    note = models.CharField("what was fitted", max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="modification_kind_known",
                condition=models.Q(kind__in=sorted(modifications.KINDS)),
            )
        ]

    def __str__(self):
        measured = ", ".join(f"{label} {value}" for label, value in self.measurements())
        return f"{self.get_kind_display()}: {measured}" if measured else self.get_kind_display()

    def in_order(self):
        """The values in the order of the kind: PostgreSQL hands a JSON object back in an order of its own."""
        names = modifications.KINDS[self.kind].names
        return {name: self.values[name] for name in sorted(self.values, key=names.index)}

    def measurements(self):
        """Label and value with unit of everything that was measured, in the order of the kind."""
        kind = modifications.KINDS[self.kind]
        units = {row.name: row.unit for row in kind.numbers}
        for name, label in kind.labels.items():
            value = self.values.get(name)
            if value not in (None, ""):
                yield in_a_sentence(label), f"{value:,.10g} {units[name]}".strip() if name in units else value

    def missing(self):
        """Labels of the measurements that the kind asks for and nobody has taken yet."""
        kind = modifications.KINDS[self.kind]
        wanted = {name: label for name, label in kind.labels.items() if name not in kind.optional}
        return [in_a_sentence(label) for name, label in wanted.items() if self.values.get(name) in (None, "")]


def _document_path(document, filename):
    """Stored under a random name: what a file was called never reaches the file system."""
    return f"documents/{document.vehicle_id}/{get_random_string(32)}"


class DocumentQuerySet(models.QuerySet):
    def standing(self):
        """What speaks for the vehicle: not set aside as wrong."""
        return self.filter(set_aside_at=None)

    def set_aside(self):
        """What was set aside: evidence of a mistake, kept with name and reason."""
        return self.exclude(set_aside_at=None)


class Document(models.Model):
    """A photo or a paper. Reached only through a view that asks who is asking."""

    class Kind(models.TextChoices):
        PHOTO = "photo", "Photo"
        PAPER = "paper", "Paper (receipt, approval, weighbridge ticket)"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.CASCADE, related_name="documents")
    kind = models.CharField(max_length=5, choices=Kind.choices)
    caption = models.CharField(max_length=120)
    file = models.FileField(upload_to=_document_path, max_length=200)
    original_name = models.CharField(max_length=120)
    content_type = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64)
    added_at = models.DateTimeField(auto_now_add=True)
    set_aside_at = models.DateTimeField(null=True, blank=True)
    set_aside_because = models.CharField(max_length=150, blank=True)
    # The name as of that day: people and their names change, the file does not.
    set_aside_by = models.CharField(max_length=160, blank=True)

    objects = DocumentQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self):
        return self.caption
