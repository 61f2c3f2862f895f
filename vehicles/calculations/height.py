"""How much higher the modifications make a vehicle, contribution by contribution."""

from collections.abc import Iterable
from dataclasses import dataclass

from .case import Case
from .explain import Working
from .tyres import Tyre, TyreChange, as_measured, compare, read_tyre
from .wording import fixed

PRACTICE = "Common practice: a tyre lifts by half its diameter change; the larger axle counts"
SUSPENSION = {"suspension_lift": 1, "suspension_lowering": -1}


@dataclass(frozen=True, kw_only=True)
class Contribution:
    """One entry of the ledger, at each axle [mm]; None is not measured."""

    title: str
    front_mm: float | None
    rear_mm: float | None


@dataclass(frozen=True, kw_only=True)
class HeightLedger:
    """The rise of the vehicle and what it is made of [mm]; None is not known.

    ``suspension_mm`` is the larger of the two axles. The handbook values use the rounded tyre
    diameters of tyre handbooks. ``least_mm`` is what the rise comes to at least, when something is
    not measured.
    """

    front_mm: float | None
    rear_mm: float | None
    suspension_mm: float | None
    body_mm: float | None
    tyre_mm: float | None
    total_mm: float | None
    handbook_tyre_mm: float | None
    handbook_total_mm: float | None
    least_mm: float | None
    tyres: TyreChange | None
    contributions: tuple[Contribution, ...]
    undecided: tuple[str, ...]
    workings: tuple[Working, ...]

    @property
    def composition(self) -> str:
        """What the total is made of, in words.

        >>> from .modifications import Modification
        >>> from .case import Vehicle
        >>> lift = Modification(kind="suspension_lift", values={"front_mm": 50, "rear_mm": 40})
        >>> case = Case(jurisdiction="NSW", vehicle=Vehicle(), modifications=(lift,))
        >>> ledger(case).composition
        'suspension 50.0 mm (front 50.0, rear 40.0: the larger counts)'
        """
        named = (("suspension", self.suspension_mm), ("body", self.body_mm), ("tyres", self.tyre_mm))
        parts = [
            f"{name} {'not known' if mm is None else fixed(mm) + ' mm'}"
            + (self._axles() if name == "suspension" else "")
            for name, mm in named
            if mm != 0
        ]
        return " + ".join(parts) or "nothing changes it"

    def _axles(self) -> str:
        if self.front_mm is None or self.rear_mm is None or self.front_mm == self.rear_mm:
            return ""
        return f" (front {fixed(self.front_mm)}, rear {fixed(self.rear_mm)}: the larger counts)"


def ledger(case: Case) -> HeightLedger:
    """Add up the rise: ``total = max(front, rear suspension) + body + (D₂ − D₁) / 2``.

    Parameters
    ----------
    case : Case
        Its original tyre, and the measurements of its lifts and tyres [mm]

    Returns
    -------
    HeightLedger
        Rise and contributions [mm]; what is missing is named in ``undecided``

    Notes
    -----
    Lowering counts against a lift at the same axle. When front and rear differ the larger one
    counts. Sag, springs that settle and tyre pressure are not in it: measure the vehicle.

    Examples
    --------
    >>> from .case import Vehicle
    >>> from .modifications import Modification
    >>> tyre = Modification(kind="tyre_change", values={"to": "285/70R17"})
    >>> lift = Modification(kind="suspension_lift", values={"front_mm": 50, "rear_mm": 50})
    >>> case = Case(jurisdiction="NSW", vehicle=Vehicle(tyre="265/65R17"), modifications=(lift, tyre))
    >>> ledger(case).total_mm
    77.25

    Source: geometry and common practice (two or more public sources for the half diameter).
    """
    undecided: list[str] = []
    contributions = tuple(_contributions(case, undecided))
    front = _sum(item.front_mm for item in contributions)
    rear = _sum(item.rear_mm for item in contributions)
    suspension = None if front is None or rear is None else max(front, rear)
    body = _body(case, undecided)
    tyres, fitted = _tyres(case, undecided)
    tyre = tyres.rise_mm if tyres else None if fitted else 0.0
    handbook = tyres.handbook_rise_mm if tyres else tyre
    total = _sum((suspension, body, tyre))
    known_axles = [axle for axle in (front, rear) if axle is not None]
    least = _sum((max(known_axles), body or 0.0, tyre)) if known_axles else None
    return HeightLedger(
        front_mm=front,
        rear_mm=rear,
        suspension_mm=suspension,
        body_mm=body,
        tyre_mm=tyre,
        total_mm=total,
        handbook_tyre_mm=handbook,
        handbook_total_mm=_sum((suspension, body, handbook)),
        least_mm=least,
        tyres=tyres,
        contributions=contributions,
        undecided=tuple(undecided),
        workings=_workings(tyres=tyres, suspension=suspension, body=body, tyre=tyre, total=total),
    )


def _sum(parts: Iterable[float | None]) -> float | None:
    total = 0.0
    for part in parts:
        if part is None:
            return None
        total += part
    return total


def _contributions(case: Case, undecided: list[str]) -> Iterable[Contribution]:
    for index, item in enumerate(case.modifications):
        sign = SUSPENSION.get(item.kind)
        if sign is None:
            continue
        axles: dict[str, float | None] = {}
        for name in ("front_mm", "rear_mm"):
            value = item.number(name)
            axles[name] = None if value is None else sign * value
            if value is None:
                undecided.append(f"modifications[{index}].{name}: measure the change of ride height")
        title = "Suspension lift" if sign > 0 else "Suspension lowering"
        yield Contribution(title=title, front_mm=axles["front_mm"], rear_mm=axles["rear_mm"])


def _body(case: Case, undecided: list[str]) -> float | None:
    blocks: list[float | None] = []
    for index, item in enumerate(case.modifications):
        if item.kind == "body_lift":
            blocks.append(item.number("lift_mm"))
            if blocks[-1] is None:
                undecided.append(f"modifications[{index}].lift_mm: measure the blocks of the body lift")
    return _sum(blocks)


def _tyres(case: Case, undecided: list[str]) -> tuple[TyreChange | None, bool]:
    """The change of tyres, and whether there is one at all."""
    changes = [(i, item) for i, item in enumerate(case.modifications) if item.kind == "tyre_change"]
    if not changes:
        return None, False
    index, change = changes[-1]
    after, before = change.words("to"), case.vehicle.tyre
    if before is None:
        undecided.append("vehicle.tyre: the original size, from the tyre placard")
    if after is None:
        undecided.append(f"modifications[{index}].to: the size now fitted, from the sidewall")
    if before is None or after is None:
        return None, True
    sizes = []
    for size, name in ((before, "from_diameter_mm"), (after, "to_diameter_mm")):
        tyre, diameter_mm = read_tyre(size), change.number(name)
        sizes.append(tyre if diameter_mm is None else as_measured(tyre, diameter_mm=diameter_mm, quantity=name))
    return compare(before=sizes[0], after=sizes[1]), True


def _workings(
    *,
    tyres: TyreChange | None,
    suspension: float | None,
    body: float | None,
    tyre: float | None,
    total: float | None,
) -> tuple[Working, ...]:
    def mm(value: float | None) -> str:
        return "not known" if value is None else f"{value:g} mm"

    rise = Working(
        quantity="Rise by the tyres",
        formula="(D₂ − D₁) / 2",
        inputs={
            "D₁": f"{tyres.before.size}: {tyres.before.diameter_mm:g} mm",
            "D₂": f"{tyres.after.size}: {tyres.after.diameter_mm:g} mm",
            "by handbook diameters": mm(tyres.handbook_rise_mm),
        }
        if tyres
        else {},
        value=tyre,
        unit="mm",
        source="ETRTO size designations; common practice (2 or more public sources)",
    )
    overall = Working(
        quantity="Overall rise",
        formula="suspension + body + tyres",
        inputs={"suspension": mm(suspension), "body": mm(body), "tyres": mm(tyre)},
        value=total,
        unit="mm",
        source=PRACTICE,
    )
    if tyres is None:
        return (overall,)
    return (_diameter("before", tyres.before), _diameter("now fitted", tyres.after), rise, overall)


def _diameter(when: str, tyre: Tyre) -> Working:
    if tyre.measured:
        return Working(
            quantity=f"Tyre diameter, {when}",
            formula="as measured, fitted and inflated",
            inputs={"size": tyre.size},
            value=tyre.diameter_mm,
            unit="mm",
            source="measured in the workshop",
        )
    by_size = tyre.handbook_mm is not None
    return Working(
        quantity=f"Tyre diameter, {when}",
        formula="25.4 × rim + 2 × section × aspect" if by_size else "25.4 × diameter in inches, nominal",
        inputs={"size": tyre.size, "rim": f"{tyre.rim_in:g} in", "section": f"{tyre.section_mm:g} mm"}
        | ({"handbook": f"{tyre.handbook_mm:g} mm"} if by_size else {}),
        value=tyre.diameter_mm,
        unit="mm",
        source="ETRTO size designations",
    )
