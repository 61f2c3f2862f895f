"""Reading an object from JSON that somebody wrote or exported: what is wrong is told, nothing is lost unseen."""

import json
from typing import Any, NoReturn

from .errors import shown


class NotUsable(ValueError):
    """The text is no JSON object; the message says why."""


class _Repeated(ValueError):
    """A key that stands twice in one object: one of the two values would be lost unseen."""


def read_object(content: bytes | str) -> dict[str, Any]:
    """Read one JSON object in UTF-8.

    Parameters
    ----------
    content : bytes or str
        JSON [-]

    Returns
    -------
    dict
        Its keys and values

    Raises
    ------
    NotUsable
        When it is no JSON object, when a key stands twice, or when a number has too many digits.

    Examples
    --------
    >>> read_object('{"gvm_kg": 2950}')
    {'gvm_kg': 2950}
    >>> read_object('[1]')
    Traceback (most recent call last):
        ...
    vehicles.calculations.json_text.NotUsable: [1] is not an object; a JSON object is needed

    Source: RFC 8259 for JSON.
    """
    try:
        text = content if isinstance(content, str) else content.decode("utf-8-sig")
        raw = json.loads(text, object_pairs_hook=_once)
    except _Repeated as error:
        _refuse(str(error))
    except UnicodeDecodeError:
        _refuse("not text in UTF-8; a JSON object in UTF-8 is needed")
    except RecursionError:
        _refuse("nested too deeply; a JSON object is needed")
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        _refuse(f"not JSON ({error.msg} at {where}); a JSON object is needed")
    except ValueError:
        _refuse("a number with too many digits; plain numbers are needed")
    if not isinstance(raw, dict):
        _refuse(f"{shown(raw)} is not an object; a JSON object is needed")
    return raw


def _refuse(message: str) -> NoReturn:
    raise NotUsable(message) from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Repeated(f"key {shown(key)} stands twice in one object; allowed: once")
        found[key] = value
    return found
