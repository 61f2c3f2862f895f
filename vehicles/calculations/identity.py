"""Numbers that name a vehicle or a business: VIN, ABN and registration plate."""

import re
from dataclasses import dataclass

VIN_LENGTH = 17
VIN_LETTERS = dict(zip("ABCDEFGHJKLMNPRSTUVWXYZ", (*range(1, 9), 1, 2, 3, 4, 5, 7, 9, *range(2, 10)), strict=True))
VIN_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
VIN_CHECK_PLACE = 8
ABN_WEIGHTS = (10, 1, 3, 5, 7, 9, 11, 13, 15, 17, 19)
ABN_MODULUS = 89
MOST_PLATE_CHARACTERS = 9


@dataclass(frozen=True, kw_only=True)
class Checked:
    """A number as it is written down, with what is wrong and what is only unusual."""

    text: str
    errors: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def usable(self) -> bool:
        """True when nothing is wrong; warnings do not count."""
        return not self.errors


def check_vin(text: str) -> Checked:
    """Check a VIN: 17 characters without I, O and Q; check digit ``Σ weight × value mod 11``.

    Parameters
    ----------
    text : str
        The VIN as typed; spaces and hyphens are left out [-]

    Returns
    -------
    Checked
        In capitals. A check digit that does not agree is a warning: it is required in North
        America only, and an Australian VIN may well fail it.

    Examples
    --------
    >>> check_vin("1M8GDM9AXKP042788").usable, check_vin("1M8GDM9AXKP042788").warnings
    (True, ())
    >>> check_vin("1M8GDM9AXKPO42788").errors
    ("'O' cannot stand in a VIN; allowed: digits and letters without I, O and Q",)

    Source: ISO 3779 for the structure, 49 CFR 565 for the check digit.
    """
    vin = re.sub(r"[\s-]", "", text).upper()
    errors = []
    if len(vin) != VIN_LENGTH:
        errors.append(f"{len(vin)} characters; allowed: {VIN_LENGTH}")
    strange = sorted({char for char in vin if not (char in VIN_LETTERS or char in "0123456789")})
    errors.extend(f"{char!r} cannot stand in a VIN; allowed: digits and letters without I, O and Q" for char in strange)
    if errors:
        return Checked(text=vin, errors=tuple(errors))
    expected = vin_check_digit(vin)
    if vin[VIN_CHECK_PLACE] == expected:
        return Checked(text=vin)
    warning = (
        f"check digit {vin[VIN_CHECK_PLACE]!r} instead of {expected!r}: usual for vehicles not built for North "
        "America; compare it with the plate on the vehicle"
    )
    return Checked(text=vin, warnings=(warning,))


def vin_check_digit(vin: str) -> str:
    """The character that belongs in place 9 of a VIN: the weighted sum mod 11, X for 10.

    Parameters: 17 characters [-]. Returns: one character.

    >>> vin_check_digit("1G4AH59H45G118341")
    '4'

    Source: 49 CFR 565.
    """
    total = sum(weight * (VIN_LETTERS.get(char) or int(char)) for weight, char in zip(VIN_WEIGHTS, vin, strict=True))
    return "X" if total % 11 == 10 else str(total % 11)


def check_abn(text: str) -> Checked:
    """Check an ABN: take 1 off the first digit; ``Σ weight × digit mod 89 = 0``.

    Parameters
    ----------
    text : str
        The ABN as typed; spaces are left out [-]

    Returns
    -------
    Checked
        As 11 digits in the usual groups, where it has 11

    Examples
    --------
    >>> check_abn("51824753556").text, check_abn("51 824 753 556").usable
    ('51 824 753 556', True)
    >>> check_abn("11223493504").errors
    ('the check sum does not agree; one digit is wrong, or two are swapped',)

    Source: Australian Business Register, format of the ABN.
    """
    digits = re.sub(r"\s", "", text)
    if not re.fullmatch(r"[0-9]{11}", digits):
        return Checked(text=digits, errors=("not 11 digits; allowed: 11 digits, spaces between them",))
    grouped = f"{digits[:2]} {digits[2:5]} {digits[5:8]} {digits[8:]}"
    values = [int(digits[0]) - 1, *map(int, digits[1:])]
    if sum(w * v for w, v in zip(ABN_WEIGHTS, values, strict=True)) % ABN_MODULUS:
        wrong = "the check sum does not agree; one digit is wrong, or two are swapped"
        return Checked(text=grouped, errors=(wrong,))
    return Checked(text=grouped)


def check_plate(text: str) -> Checked:
    """Bring a registration plate into one form: capitals and digits without signs between them.

    Parameters
    ----------
    text : str
        The plate as typed [-]

    Returns
    -------
    Checked
        Two spellings of one plate give the same text

    Examples
    --------
    >>> check_plate("abc·12-d").text
    'ABC12D'

    Source: common practice, no published source.
    """
    plate = re.sub(r"[\s\-·.]", "", text).upper()
    if re.fullmatch(rf"[A-Z0-9]{{1,{MOST_PLATE_CHARACTERS}}}", plate):
        return Checked(text=plate)
    return Checked(text=plate, errors=(f"allowed: 1 to {MOST_PLATE_CHARACTERS} letters and digits",))
