"""From the bytes of a case file to a Case."""

from typing import Any

from .case import Case
from .day_inputs import DayInputs, read_day
from .errors import CaseError, Problem
from .json_text import NotUsable, read_object
from .parse_case import parse_case


def read_whole_text(content: bytes | str) -> tuple[Case, DayInputs]:
    """Read a case file with what it says of the test day.

    Parameters
    ----------
    content : JSON in UTF-8 [-]

    Returns
    -------
    Case [mm, kg] and DayInputs [m/s, mm, km/h], the latter empty where nothing is said.

    Raises
    ------
    CaseError : when it is no JSON object, when a key stands twice, or with every problem of both.

    Example
    -------
    >>> case, day = read_whole_text('{"jurisdiction": "NSW", "vehicle": {"seats": 5}}')
    >>> case.vehicle.seats, day.given
    (5, False)
    >>> read_whole_text('{"vehicle": {}, "vehicle": {}}')
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.CaseError: case: key 'vehicle' stands twice in one object; allowed: once

    Source: RFC 8259 for JSON.
    """
    raw = _object(content)
    problems: list[Problem] = []
    case, day = None, DayInputs()
    try:
        day = read_day(raw)
    except CaseError as error:
        problems.extend(error.problems)
    try:
        case = parse_case(raw)
    except CaseError as error:
        problems = [*error.problems, *problems]
    if case is None or problems:
        raise CaseError(tuple(problems))
    return case, day


def _object(content: bytes | str) -> dict[str, Any]:
    try:
        return read_object(content)
    except NotUsable as error:
        raise CaseError((Problem(path="case", message=str(error)),)) from None
