"""Reading single values that people or files gave: what cannot be used becomes a named problem."""

from collections.abc import Mapping
from difflib import get_close_matches

from .errors import CalculationError, Problem, UnreadableError, shown
from .ranges import Range
from .units import parse_length_mm, parse_mass_kg


class Reader:
    """Reads values by path and gathers problems. Each method returns None for what is missing."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def number(self, raw: object, path: str, row: Range) -> float | None:
        if raw is None:
            return None
        try:
            value = row.check(self.plain(raw, row))
        except UnreadableError as error:
            self.wrong(path, error.detail)
            return None
        except CalculationError as error:
            self.wrong(path, f"{shown(raw)} {error.wrong} {error.allowed}")
            return None
        except (OverflowError, TypeError):
            self.wrong(path, f"{shown(raw)} is not a number; allowed: {row}")
            return None
        return int(value) if row.whole else float(value)

    @staticmethod
    def plain(raw: object, row: Range) -> float:
        """The raw value as a number in the unit of its name; True is not 1."""
        if isinstance(raw, str) and row.unit == "mm":
            return parse_length_mm(raw)
        if isinstance(raw, str) and row.unit == "kg":
            return parse_mass_kg(raw)
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise TypeError
        return float(raw)

    def choice(self, raw: object, path: str, allowed: tuple[str, ...]) -> str | None:
        if raw is None:
            return None
        word = raw.strip() if isinstance(raw, str) else ""
        for candidate in allowed:
            if candidate.lower() == word.lower():
                return candidate
        self.wrong(path, f"{shown(raw)} is not known; one of {', '.join(allowed)}")
        return None

    def truth(self, raw: object, path: str) -> bool | None:
        if raw is None or isinstance(raw, bool):
            return raw
        self.wrong(path, f"{shown(raw)} is neither true nor false; allowed: true, false")
        return None

    def mapping(
        self, raw: object, path: str, allowed: tuple[str, ...] | None, prefix: str | None = None
    ) -> Mapping[str, object]:
        if raw is None:
            return {}
        if not isinstance(raw, Mapping):
            self.wrong(path, f"{shown(raw)} is not an object; an object with named values is needed")
            return {}
        if allowed is not None:
            self.unknown(raw, path if prefix is None else prefix, allowed)
        return raw

    def unknown(self, given: Mapping[str, object], path: str, allowed: tuple[str, ...]) -> None:
        for key in given:
            if key in allowed:
                continue
            near = get_close_matches(str(key), allowed, n=1, cutoff=0.5)
            hint = f"did you mean {near[0]!r}? " if near else ""
            name = key if isinstance(key, str) and key.isprintable() else shown(key)
            self.wrong(f"{path}.{name}".lstrip("."), f"unknown key; {hint}allowed: {', '.join(allowed)}")

    def wrong(self, path: str, message: str) -> None:
        self.problems.append(Problem(path=path, message=message))
