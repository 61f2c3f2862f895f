"""From the bytes of a case file to a Case."""

from .case import Case
from .errors import CaseError, Problem
from .json_text import NotUsable, read_object
from .parse_case import parse_case


def read_case_text(content: bytes | str) -> Case:
    """Read a case file.

    Parameters
    ----------
    content : bytes or str
        JSON in UTF-8 [-]

    Returns
    -------
    Case
        Lengths [mm], masses [kg]

    Raises
    ------
    CaseError
        When it is no JSON object, when a key stands twice, or with every problem of the case.

    Examples
    --------
    >>> read_case_text('{"vehicle": {}, "vehicle": {}}')
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.CaseError: case: key 'vehicle' stands twice in one object; allowed: once

    Source: RFC 8259 for JSON.
    """
    try:
        raw = read_object(content)
    except NotUsable as error:
        raise CaseError((Problem(path="case", message=str(error)),)) from None
    return parse_case(raw)
