"""Read quantities as people write them.

A bare number is refused, and so is a decimal comma: both have put the wrong pressure into a strut.
"""

import re
from typing import Final

from calculations.errors import refuse
from calculations.unit_scale import Measured, take_quantity
from calculations.unit_table import Quantity

LONGEST_TEXT: Final = 64  # a quantity is short; anything longer is not worth scanning

_VULGAR: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
# Mixed fraction before decimal: "4 1/2" must not be read as 4 of the unit "1/2".
_NUMBER: Final = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?:
        (?:(?P<whole>\d{1,9})\s*[\s-]\s*)?(?P<top>\d{1,6})\s*/\s*(?P<bottom>\d{1,6})
        |(?P<decimal>(?:\d{1,20}(?:\.\d{0,20})?|\.\d{1,20})(?:[eE][+-]?\d{1,3})?)
    )(?![\d./])""",
    re.VERBOSE | re.ASCII,
)
_HEADER: Final = re.compile(r"\s*(?P<name>[^\[\]]*?)\s*(?:\[\s*(?P<unit>.+?)\s*\])?\s*")


def parse_quantity(text: str, quantity: Quantity | str, field: str = "quantity") -> tuple[float, Measured]:
    """Return a quantity written by a person as the inside value and what was measured.

    Parameters
    ----------
    text : str
        Number and unit: ``4 1/2 in``, ``4-1/2"``, ``4½ in``, ``62 psi``, ``114 mm``, ``-5 °C``.
    quantity : Quantity
        What is expected; a bare ``psi`` is gauge or absolute as the quantity is.
    field : str
        Name to use in faults.

    Raises
    ------
    CalculationError
        Codes ``unit_missing`` (a bare number), ``decimal_comma``, ``improper_fraction``,
        ``not_a_number``, and those of `unit_named`.

    Examples
    --------
    >>> parse_quantity('4-1/2"', Quantity.LENGTH)
    (4.5, Measured(value=4.5, unit='in'))
    >>> parse_quantity("4,5 in", Quantity.LENGTH, "extension")
    Traceback (most recent call last):
    ...
    calculations.errors.CalculationError: extension: '4,5 in' has a comma; write 4.5, and 1000 not 1,000
    """
    plain = _plain(text, field)
    match = _NUMBER.match(plain)
    if match is None:
        raise refuse(field, "not_a_number", f"{text[:20]!r} does not begin with a number")
    value = _value(match, text, field)
    return take_quantity(value, plain[match.end() :], quantity, field)


def parse_number(text: str, field: str = "number") -> float:
    """Return a number written by a person, for a column whose header holds the unit.

    Examples
    --------
    >>> parse_number("4 1/2"), parse_number("−5")
    (4.5, -5.0)
    """
    plain = _plain(text, field)
    match = _NUMBER.fullmatch(plain)
    if match is None:
        raise refuse(field, "not_a_number", f"{text[:20]!r} is not a number")
    return _value(match, text, field)


def parse_header(text: str) -> tuple[str, str]:
    """Return name and unit of a column header; the unit is empty where there is none.

    Examples
    --------
    >>> parse_header("extension [in]"), parse_header("aircraft")
    (('extension', 'in'), ('aircraft', ''))
    """
    match = _HEADER.fullmatch(text)
    if match is None or not match["name"]:
        raise refuse("header", "malformed_header", f"{text[:40]!r}: write it as 'name [unit]'")
    return match["name"], match["unit"] or ""


def _plain(text: str, field: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise refuse(field, "not_a_number", f"is {len(text)} characters long, at most {LONGEST_TEXT}")
    plain = " ".join(text.replace("\N{MINUS SIGN}", "-").replace("\N{FRACTION SLASH}", "/").split())
    for sign, written in _VULGAR.items():
        plain = plain.replace(sign, f" {written}")
    if "," in plain:
        raise refuse(field, "decimal_comma", f"{text!r} has a comma; write 4.5, and 1000 not 1,000")
    return plain.strip()


def _value(match: re.Match[str], text: str, field: str) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["decimal"] is not None:
        return sign * float(match["decimal"])
    if int(match["top"]) >= int(match["bottom"]):
        # "41/2" is far more often 4 1/2 without its space than twenty and a half.
        raise refuse(field, "improper_fraction", f"{text!r}: write 4 1/2 or 4.5")
    return sign * (int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"]))
