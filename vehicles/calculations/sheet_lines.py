"""How the sheet sets its lines: values with units, rows, bullets."""

from collections.abc import Iterable, Iterator
from textwrap import wrap

from .wording import fixed

WIDTH = 100


def value(number: float | None, unit: str, digits: int = 1) -> str:
    """A number with its unit, or undecided."""
    return "undecided" if number is None else f"{fixed(number, digits)} {unit}".rstrip()


def rows(*pairs: tuple[str, str]) -> Iterator[str]:
    """Names on the left, values on the right."""
    return (f"  {name:<34}{text:>24}" for name, text in pairs)


def bullets(texts: Iterable[str]) -> Iterator[str]:
    """One wrapped bullet for each text."""
    for text in texts:
        yield from wrap(text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
