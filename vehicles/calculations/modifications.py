"""The kinds of modification, and the measurements that each one needs.

The case file, the booking form and the triage all read this one table: a new kind is added here
and nowhere else.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from . import ranges
from .ranges import Range

Value = float | int | str | None


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of modification: its key in files, its title for people, its measurements.

    ``numbers`` are quantities with a range; ``text`` maps a key that takes words (a tyre size, a
    description) to its label. A measurement that is missing leaves a result undecided, unless it is
    named in ``optional``: such a one only decides what is close to a limit.
    """

    key: str
    title: str
    numbers: tuple[Range, ...] = ()
    text: Mapping[str, str] = field(default_factory=dict)
    help: str = ""
    optional: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Every measurement in the order in which it is asked for, the optional ones last."""
        names = (*(row.name for row in self.numbers), *self.text)
        return (*(name for name in names if name not in self.optional), *self.optional)

    @property
    def labels(self) -> dict[str, str]:
        """The label of every measurement by its name, in the same order.

        >>> list(KINDS["tyre_change"].labels)
        ['to', 'from_diameter_mm', 'to_diameter_mm']
        """
        found = {row.name: row.label for row in self.numbers} | dict(self.text)
        return {name: found[name] for name in self.names}


def _numbers(*names: str) -> tuple[Range, ...]:
    return tuple(ranges.MODIFICATION[name] for name in names)


KINDS: dict[str, Kind] = {
    kind.key: kind
    for kind in (
        Kind(
            key="suspension_lift",
            title="Suspension lift",
            numbers=_numbers("front_mm", "rear_mm"),
            help="Rise of the body over the wheels, measured at each axle.",
        ),
        Kind(
            key="body_lift",
            title="Body lift",
            numbers=_numbers("lift_mm"),
            help="Height of the blocks between body and chassis.",
        ),
        Kind(
            key="tyre_change",
            title="Change of tyres",
            numbers=_numbers("from_diameter_mm", "to_diameter_mm"),
            text={"to": "Tyre size now fitted"},
            help="As on the sidewall, for example 285/70R17.",
            optional=("from_diameter_mm", "to_diameter_mm"),
        ),
        Kind(
            key="suspension_lowering",
            title="Suspension lowering",
            numbers=_numbers("front_mm", "rear_mm"),
            help="Drop of the body over the wheels, as a positive number.",
        ),
        Kind(
            key="track_change",
            title="Change of track",
            numbers=(ranges.TRACK_CHANGE["front_mm"], ranges.TRACK_CHANGE["rear_mm"]),
            help="Wider is positive, whole axle (both sides together).",
        ),
        Kind(
            key="wheelbase_change",
            title="Change of wheelbase",
            numbers=_numbers("change_mm"),
            help="Longer is positive.",
        ),
        Kind(key="steering_change", title="Change of steering design"),
        Kind(key="seating_change", title="Change of seating", numbers=_numbers("seats")),
        Kind(
            key="body_change",
            title="Change of body",
            text={"to_category": "ADR category afterwards"},
            help="State the category that the vehicle is built for now, even if it stays the same.",
        ),
        Kind(key="engine_change", title="Change of engine"),
        Kind(key="brake_change", title="Change of brakes"),
        Kind(key="gvm_upgrade", title="GVM upgrade", numbers=_numbers("to_kg")),
        Kind(
            key="roof_load",
            title="Load on the roof",
            numbers=_numbers("mass_kg", "height_mm"),
            help="Rack, tent or awning that stays on the vehicle.",
        ),
        Kind(
            key="fixed_load",
            title="Fixed load",
            numbers=_numbers("mass_kg", "x_mm", "height_mm"),
            help="Bull bar, winch, tank, canopy: its mass and where its centre lies.",
        ),
    )
}


@dataclass(frozen=True, kw_only=True)
class Modification:
    """One modification of a vehicle: a key of KINDS and what was measured of it."""

    kind: str
    values: Mapping[str, Value] = field(default_factory=dict)

    def number(self, name: str) -> float | None:
        """The measurement by that name in the unit of its name, or None when it is not known."""
        value = self.values.get(name)
        return None if value is None or isinstance(value, str) else float(value)

    def words(self, name: str) -> str | None:
        """The text by that name, or None when it is not known."""
        value = self.values.get(name)
        return value if isinstance(value, str) and value else None
