"""How the sheet sets its lines: values with units, rows, bullets."""

from collections.abc import Iterable, Iterator
from textwrap import wrap

from .wording import fixed

WIDTH = 100


def value(number: float | None, unit: str, digits: int = 1) -> str:
    """A number with its unit, or undecided.

    Parameters: a number, its unit as text [-], decimals. Returns: text.

    >>> value(2621.54, "kg"), value(None, "kg")
    ('2,621.5 kg', 'undecided')

    Source: our own format.
    """
    return "undecided" if number is None else f"{fixed(number, digits)} {unit}".rstrip()


def rows(*pairs: tuple[str, str]) -> Iterator[str]:
    """Names on the left, values on the right.

    Parameters: pairs of text [-]. Returns: one line for each.

    >>> [line.split() for line in rows(("GVM", "2,950 kg"))]
    [['GVM', '2,950', 'kg']]

    Source: our own format.
    """
    return (f"  {name:<34}{text:>24}" for name, text in pairs)


def bullets(texts: Iterable[str]) -> Iterator[str]:
    """One wrapped bullet for each text.

    Parameters: texts [-]. Returns: lines of at most 100 characters.

    >>> list(bullets(["Weigh both axles."]))
    ['  - Weigh both axles.']

    Source: our own format.
    """
    for text in texts:
        yield from wrap(text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
