"""What the register is searched by. Made from the sealed records and checked against them; can be rebuilt.

Words that are searched by their beginning stand one to a row in RegisterKey. A VIN stands there once
for each place it can be read from, so that any part of it is the beginning of a key: the same plain
index serves SQLite and PostgreSQL.
"""

from django.db import models

from .certificate import Certificate
from .imported import ImportedCertificate

VALID, SUPERSEDED, WITHDRAWN = "valid", "superseded", "withdrawn"
STATES = [(VALID, "Valid"), (SUPERSEDED, "Superseded"), (WITHDRAWN, "Withdrawn")]


class RegisterLine(models.Model):
    """One line of the register. Its key orders it: by day of issue, then by its entry."""

    place = models.BigIntegerField(primary_key=True)
    certificate = models.OneToOneField(Certificate, null=True, on_delete=models.PROTECT, related_name="line")
    imported = models.OneToOneField(ImportedCertificate, null=True, on_delete=models.PROTECT, related_name="line")
    number = models.CharField(max_length=60)
    issued_on = models.DateField()
    vehicle = models.CharField(max_length=120, blank=True)
    plate = models.CharField(max_length=10, blank=True)
    vin = models.CharField(max_length=17, blank=True)
    owner = models.CharField(max_length=120, blank=True)
    engineer = models.CharField(max_length=160, blank=True)
    jurisdiction = models.CharField(max_length=3, blank=True)
    outcome = models.CharField(max_length=30, blank=True)
    wind_mps = models.FloatField(null=True)
    speed_kmh = models.FloatField(null=True)
    state = models.CharField(max_length=10, choices=STATES, default=VALID)

    class Meta:
        ordering = ["-place"]
        default_permissions = ()
        indexes = [
            models.Index(fields=[name, "place"], name=f"line_by_{name}")
            for name in ("jurisdiction", "outcome", "state", "wind_mps", "speed_kmh")
        ]

    def __str__(self):
        return self.number


class RegisterKey(models.Model):
    """One word that a line is found by."""

    # No constraint: millions of rows that are made anew with their lines; the check of the register compares them.
    line = models.ForeignKey(
        RegisterLine, on_delete=models.CASCADE, related_name="keys", db_index=False, db_constraint=False
    )
    kind = models.CharField(max_length=4)
    key = models.CharField(max_length=60)

    class Meta:
        default_permissions = ()
        indexes = [
            models.Index(
                name="line_by_key",
                fields=["kind", "key", "line"],
                # Lets PostgreSQL find a beginning whatever the language of the database; SQLite does anyway.
                opclasses=["varchar_ops", "varchar_pattern_ops", "int8_ops"],
            ),
            models.Index(name="keys_of_line", fields=["line"]),
        ]

    def __str__(self):
        return f"{self.kind} {self.key}"
