"""A second reading of a cell, written apart from the package: what does its text plainly say?"""

import datetime as dt
import re
import typing
from fractions import Fraction

from heritagemove.files.cells import MonthDay
from heritagemove.units.units import Quantity

# Factors to SI units, from the definitions of 1959 (pound, foot) and of the short and the long ton.
POUND, FOOT = Fraction(45359237, 10**8), Fraction(3048, 10**4)
FACTORS = {
    "lb": POUND, "lbs": POUND, "pound": POUND, "pounds": POUND, "kip": 1000 * POUND, "kips": 1000 * POUND,
    "short_ton": 2000 * POUND, "short_tons": 2000 * POUND, "short ton": 2000 * POUND, "short tons": 2000 * POUND,
    "long_ton": 2240 * POUND, "tonne": 1000, "tonnes": 1000, "t": 1000, "kg": 1,
    "ft": FOOT, "foot": FOOT, "feet": FOOT, "'": FOOT, "in": FOOT / 12, "inch": FOOT / 12, '"': FOOT / 12,
    "mile": 5280 * FOOT, "miles": 5280 * FOOT, "mi": 5280 * FOOT, "m": 1, "cm": Fraction(1, 100), "mm": Fraction(1, 1000),
    "km": 1000, "mph": 5280 * FOOT / 3600, "km/h": Fraction(1000, 3600), "deg": 1, "degree": 1, "degrees": 1, "°": 1,
    "%": Fraction(1, 100), "percent": Fraction(1, 100), "$": 1, "USD": 1,
    "ft2": FOOT**2, "ft²": FOOT**2, "m2": 1, "m²": 1, "kV": 1, "psf": 1,
    "h": 3600, "hour": 3600, "hours": 3600, "min": 60, "day": 86400, "days": 86400,
}  # fmt: skip
# What a quantity's own unit is worth, in the same terms.
OWN = {"lb": POUND, "ft": FOOT, "in": FOOT / 12, "mi": 5280 * FOOT, "deg": 1, "°": 1, "%": Fraction(1, 100),
       "mph": 5280 * FOOT / 3600, "short_ton": 2000 * POUND, "USD": 1, "ft²": FOOT**2, "kV": 1, "psf": 1,
       "h": 3600}  # fmt: skip
DECIMAL = r"(?:\d+|[1-9]\d{0,2}(?:,\d{3})+)?(?:\.\d+)?"


def number(text: str) -> Fraction | None:
    """Return the number that a text is, or None."""
    if not re.fullmatch(r"[-+]?" + DECIMAL, text, re.ASCII) or not re.search(r"\d", text):
        return None
    return Fraction(text.replace(",", ""))


def measure(text: str) -> Fraction | None:
    """Return a quantity in SI terms, or None."""
    text = re.sub(r"[ \t]+", " ", text).translate({0x2019: "'", 0x201D: '"', 0x2032: "'", 0x2033: '"'})
    feet = re.fullmatch(r"(-?)([\d,]+) ?(?:ft|feet|foot|') ?-? ?(\S.*?) ?(?:in|inches|inch|\")", text, re.ASCII)
    if feet:
        whole, inches = number(feet[2]), mixed(feet[3])
        if whole is None or inches is None or not 0 <= inches < 12:
            return None
        return (whole * FOOT + inches * FOOT / 12) * (-1 if feet[1] else 1)
    money = re.fullmatch(r"(-?)\$ ?([\d.,]+)", text, re.ASCII)
    if money:
        return number(money[1] + money[2])
    plain = re.fullmatch(r"(-?)([\d.,/ -]*[\d]) ?(\D+2?)", text)
    if not plain or plain[3] not in FACTORS:
        return None
    amount = mixed(plain[2])
    return None if amount is None else amount * FACTORS[plain[3]] * (-1 if plain[1] else 1)


def mixed(text: str) -> Fraction | None:
    """Return 5, 5.5, 1/2 or 5 1/2, or None."""
    parts = re.fullmatch(r"(?:([\d,]+)[ -])?(\d+)/(\d+)", text, re.ASCII)
    if not parts:
        return number(text)
    whole = number(parts[1] or "0")
    if whole is None or not 0 < int(parts[2]) < int(parts[3]) <= 64:
        return None
    return whole + Fraction(int(parts[2]), int(parts[3]))


def says(text: str, value: object, hint: object) -> bool:
    """Return whether a value is what a text plainly says; `hint` is the type of its column."""
    kinds = typing.get_args(hint) or (hint,)
    if value is None:
        return text in ("", "unknown")
    if value == () and text == "":
        return True
    if isinstance(value, Quantity):
        meant = measure(text)
        own = OWN[str(value.units)]
        return meant is not None and abs(float(meant / own) - value.magnitude) <= 1e-9 * max(1, abs(value.magnitude))
    if isinstance(value, bool):
        return text in (("yes",) if value else ("no", ""))  # blank is no where a column says so; else it is refused
    if isinstance(value, int):
        return re.fullmatch(r"\d+", text, re.ASCII) is not None and int(text) == value
    if isinstance(value, float):
        meant = number(text)
        return meant is not None and float(meant) == value
    if isinstance(value, MonthDay):
        return text == f"{value.month:02}-{value.day:02}"
    if isinstance(value, dt.date):
        return value.isoformat() == text
    if isinstance(value, tuple):
        parts = tuple(part.strip() for part in text.split(";"))
        if value and isinstance(value[0], float):
            meant = [mixed(part) for part in parts]
            return None not in meant and [float(part) for part in meant] == list(value)
        return parts == value
    return bool(kinds) and isinstance(value, str) and value == text
