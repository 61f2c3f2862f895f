"""From the bytes of a case file to a Case."""

import json
from typing import Any

from .case import Case
from .errors import CaseError, Problem, shown
from .parse_case import parse_case


class _Repeated(ValueError):
    """A key that stands twice in one object: one of the two values would be lost unseen."""


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
        text = content if isinstance(content, str) else content.decode("utf-8-sig")
        raw = json.loads(text, object_pairs_hook=_once)
    except _Repeated as error:
        raise _unusable(str(error)) from None
    except UnicodeDecodeError:
        raise _unusable("not text in UTF-8; a JSON object in UTF-8 is needed") from None
    except RecursionError:
        raise _unusable("nested too deeply; a JSON object with the keys of a case is needed") from None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise _unusable(f"not JSON ({error.msg} at {where}); a JSON object is needed") from None
    except ValueError:
        raise _unusable("a number with too many digits; numbers as a case has them are needed") from None
    if not isinstance(raw, dict):
        raise _unusable(f"{shown(raw)} is not an object; a JSON object with the keys of a case is needed")
    return parse_case(raw)


def _unusable(message: str) -> CaseError:
    return CaseError((Problem(path="case", message=message),))


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Repeated(f"key {shown(key)} stands twice in one object; allowed: once")
        found[key] = value
    return found
