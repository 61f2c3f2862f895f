"""Rules as data: one edition of the national code, and where a jurisdiction differs from it.

An edition holds numbers, lists and sentences. Nothing in it is evaluated.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from .errors import CalculationError

UNCHECKED = "not yet checked against the current text"
TRUSTED_TAGS = ("pub", "2+")
# Measured lengths carry float dust of this order; no tape reads a nanometre.
DUST = 1e-9


@dataclass(frozen=True, kw_only=True)
class Edition:
    """Where a set of rules comes from, since when it holds, and who checked it."""

    id: str
    jurisdiction: str | None
    title: str
    source: str
    tag: str
    effective_from: str | None = None
    effective_to: str | None = None
    checked_by: str | None = None
    checked_on: str | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Rule:
    """What every entry of an edition carries: who says so, and whether it was checked."""

    source: str
    tag: str
    edition: Edition
    note: str = ""

    @property
    def checked(self) -> bool:
        """True when published text was seen, or a signatory has checked the edition."""
        return self.tag in TRUSTED_TAGS or self.edition.checked_by is not None

    @property
    def cited(self) -> str:
        """The source as a result shows it: with edition, and marked while it is unchecked."""
        mark = "" if self.checked else f"; {UNCHECKED}"
        return f"{self.source} [edition {self.edition.id}{mark}]"


@dataclass(frozen=True, kw_only=True)
class Threshold(Rule):
    """A named number. ``quantity`` names what a height or track limit is compared with.

    A limit ``both_ways`` holds for a change down as well as up; a ``combined`` one only when both
    suspension and tyres are changed.
    """

    name: str
    value: float
    unit: str
    comparison: str | None = None
    quantity: str | None = None
    both_ways: bool = False
    combined: bool = False

    def crossed(self, amount: float) -> bool:
        """Compare the unrounded amount with the limit, as its comparison says.

        >>> edition = Edition(id="X", jurisdiction=None, title="", source="", tag="pub")
        >>> limit = Threshold(name="t", value=75, unit="mm", comparison="more_than", source="", tag="pub",
        ...                   edition=edition)
        >>> limit.crossed(75.0), limit.crossed(75.1)
        (False, True)
        """
        amount = abs(amount) if self.both_ways else amount
        if self.comparison == "more_than":
            return amount > self.value + DUST
        if self.comparison == "at_least":
            return amount >= self.value - DUST
        raise CalculationError(quantity=self.name, value=self.comparison, allowed="a limit that is compared")


@dataclass(frozen=True, kw_only=True)
class Setting(Rule):
    """A named choice of words, such as the datum of the course's offset."""

    name: str
    value: str


@dataclass(frozen=True, kw_only=True)
class Discretion(Rule):
    """A kind of modification for which the signatory decides whether to test."""

    kind: str


@dataclass(frozen=True, kw_only=True)
class Code(Rule):
    """A section or code of VSB 14, and the kinds of modification that fall under it.

    ``axle`` names the measurement of the axle that the code is for; ``leads_to`` says whether it
    calls for a test or for the signatory's report.
    """

    code: str
    title: str
    kinds: tuple[str, ...]
    need: str
    axle: str | None = None
    leads_to: str = "report"


@dataclass(frozen=True, kw_only=True)
class Evidence(Rule):
    """Something to collect: for kinds of modification, or as far as other lines are needed.

    ``limit`` names the number that a measurement is held against where no case file carries it.
    """

    key: str
    title: str
    kinds: tuple[str, ...] = ()
    follows: tuple[str, ...] = ()
    limit: str | None = None


@dataclass(frozen=True, kw_only=True)
class RuleSet:
    """The rules that hold in one jurisdiction: its own where it has any, the national ones else."""

    jurisdiction: str | None
    editions: tuple[Edition, ...]
    thresholds: Mapping[str, Threshold]
    settings: Mapping[str, Setting]
    discretions: Mapping[str, Discretion] = field(default_factory=dict)
    codes: tuple[Code, ...] = ()
    evidence: tuple[Evidence, ...] = ()

    @property
    def edition_ids(self) -> tuple[str, ...]:
        """The identifiers of the editions, national first."""
        return tuple(edition.id for edition in self.editions)

    def threshold(self, name: str) -> Threshold | None:
        """The number by that name, or None when these rules do not set it."""
        return self.thresholds.get(name)

    def need(self, name: str) -> Threshold:
        """The number by that name; every usable set of rules has it (see REQUIRED in read_rules)."""
        return self.thresholds[name]

    def value(self, name: str) -> float:
        """The value of the number by that name, in the unit of its name."""
        return self.need(name).value
