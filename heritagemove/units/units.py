"""Trade units: reading quantities from text, the door to plain numbers, showing quantities again.

Text from a cell never reaches pint. :func:`parse` matches a small grammar, makes the
number itself and hands pint only a unit name from an allow-list, because pint alone
reads ``5 1/2 in`` as 2.5 in, ``98 T`` as tesla and hangs on ``10**10**10 m``.
"""

from __future__ import annotations

import functools
import re
from fractions import Fraction

import pint

from heritagemove.units.names import COUNTED_UNITS, CURRENCIES
from heritagemove.units.registry import REGISTRY, Quantity


class PlannerError(ValueError):
    """An error for a planner: where, what was found, what is allowed; a notebook shows no traceback."""

    def _render_traceback_(self) -> list[str]:
        """Show the message alone (IPython's hook)."""
        return str(self).split("\n")


# Exact spellings a cell may use -> pint's name. "ton" is absent on purpose: it is 2,000 lb to
# one trade, 2,240 lb to another and 1,000 kg to a third.
_SPELLINGS = {
    "pound": ("lb", "lbs", "pound", "pounds"),
    "kilopound": ("kip", "kips"),
    "short_ton": ("short_ton", "short_tons", "short ton", "short tons"),
    "long_ton": ("long_ton", "long_tons", "long ton", "long tons"),
    "metric_ton": ("tonne", "tonnes", "metric_ton", "metric ton", "metric tons", "t"),
    "kilogram": ("kg", "kilogram", "kilograms"),
    "foot": ("ft", "foot", "feet", "'"),
    "inch": ("in", "inch", "inches", '"'),
    "yard": ("yd", "yard", "yards"),
    "mile": ("mile", "miles", "mi"),
    "meter": ("m", "meter", "meters", "metre", "metres"),
    "centimeter": ("cm",),
    "millimeter": ("mm",),
    "kilometer": ("km", "kilometer", "kilometers", "kilometre", "kilometres"),
    "mile / hour": ("mph", "mile/hour", "miles/hour"),
    "kilometer / hour": ("km/h", "kph", "kmh"),
    "degree": ("deg", "degree", "degrees", "\u00b0"),
    "percent": ("%", "percent", "per cent"),
    "hour": ("hour", "hours", "h"),
    "day": ("day", "days"),
    "week": ("week", "weeks"),
    "month": ("month", "months"),
    "year": ("year", "years"),
    "gallon": ("gal", "gallon", "gallons"),
    "foot ** 2": ("ft2",),
    "meter ** 2": ("m2",),
    "pound_force": ("lbf",),
    "newton": ("N",),
    "kilonewton": ("kN",),
    "pound / foot ** 2": ("psf", "lb/ft2"),
    "psi": ("psi",),
    "kilopascal": ("kPa",),
    "kilovolt": ("kV",),
} | {code: (code, code.lower()) for code in CURRENCIES}
_SPELLINGS["USD"] += ("$",)
_SPELLINGS["EUR"] += ("\u20ac",)
_UNITS = {spelling: name for name, spellings in _SPELLINGS.items() for spelling in spellings}
for _name in COUNTED_UNITS:
    _UNITS |= {_name: _name, _name + "s": _name}
    _UNITS |= {spelling.replace("_", " "): _name for spelling in (_name, _name + "s")}
_UNITS |= {"journal_boxes": "journal_box", "journal boxes": "journal_box"}

_AMBIGUOUS_TONS = {"ton", "tons", "T", "tn"}

# "0,123" is no thousand: where a comma is the decimal mark it means 0.123.
_WHOLE = r"(?:[1-9]\d{0,2}(?:,\d{3})+|\d{1,12})"
_NUMBER = rf"{_WHOLE}(?:\.\d{{1,17}})?|\.\d{{1,17}}"
_FRACTION = r"\d{1,2}/\d{1,2}"
_MIXED = rf"(?:{_WHOLE}[ -]{_FRACTION}|{_FRACTION}|{_NUMBER})"
_FEET_INCHES = re.compile(
    rf"(?P<sign>-?)(?P<feet>{_WHOLE}) ?(?:ft|foot|feet|') ?-? ?(?P<inches>{_MIXED}) ?(?:in|inch|inches|\")"
)
_PLAIN = re.compile(rf"(?P<sign>-?)(?P<number>{_MIXED}) ?(?P<unit>\D.*)?")
_CURRENCY = "|".join(("\\$", "\u20ac", *CURRENCIES))
_MONEY_IN_FRONT = re.compile(rf"(?P<sign>-?)(?P<currency>{_CURRENCY}) ?(?P<number>{_NUMBER})(?P<rest>.*)")
_BARE = re.compile(rf"(?P<sign>[-+]?)(?P<number>{_NUMBER})")
_CONTROL, _BLANKS = re.compile(r"[\x00-\x08\x0b-\x1f]"), re.compile(r"[ \t]+")
_PER, _WORD = re.compile(r" ?/ ?| per "), re.compile(r"\w+")
#: Typographic quotes, and signs that are no ASCII but may stand in a quantity.
_STRAIGHT = str.maketrans("\u2019\u201d\u2032\u2033", "'\"'\"")
_KNOWN_SIGNS = str.maketrans("\u00d7\u20ac\u00b0", "xxx")
_JOURNAL = re.compile(rf"(?P<diameter>{_MIXED}) ?[x×] ?(?P<length>{_MIXED})(?: ?(?:in|inches|\"))?")

#: Longest text that is looked at. Everything a planner writes is far shorter.
LONGEST = 64


def parse(text: str, unit: str) -> pint.Quantity:
    """Read a quantity as a planner writes it.

    Parameters
    ----------
    text : str
        A number and one unit, e.g. ``230,000 lb``, ``44 ft 6 in``, ``44'-6"``,
        ``98.5 short_ton``, ``$1,200/axle``. At most 64 characters.
    unit : str
        Name of the unit to return, e.g. ``"lb"``; it also fixes what is measured.

    Returns
    -------
    pint.Quantity
        The value in `unit`.

    Raises
    ------
    ValueError
        If the text is not one number with one allowed unit of the same kind as `unit`.
        The message says what was expected.

    Examples
    --------
    >>> parse("98 short_ton", "lb").magnitude
    196000.0
    >>> parse("44 ft 6 in", "ft").magnitude
    44.5
    >>> round(parse("5 1/2 in", "in").magnitude, 3)
    5.5
    >>> round(parse("200 kPa", "psf").magnitude), parse("200 ft2", "ft2").magnitude
    (4177, 200.0)
    >>> parse("98 ton", "lb")
    Traceback (most recent call last):
    ...
    ValueError: "ton" means 2,000 lb, 2,240 lb or 1,000 kg; write short_ton, long_ton or tonne
    """
    cleaned = _clean(text)
    feet = _FEET_INCHES.fullmatch(cleaned)
    if feet:
        if not _number(feet["inches"]) < 12:
            raise ValueError(_expected(cleaned, unit))
        inches = _number(feet["feet"]) * 12 + _number(feet["inches"])
        return _convert(-inches if feet["sign"] else inches, "inch", unit, cleaned)
    money = _MONEY_IN_FRONT.fullmatch(cleaned)
    if money:
        currency = _UNITS[money["currency"]]
        name = _unit_name(currency + money["rest"].rstrip(), unit)
        number = _number(money["number"])
        return _convert(-number if money["sign"] else number, name, unit, cleaned)
    plain = _PLAIN.fullmatch(cleaned)
    if not plain or not plain["unit"]:
        raise ValueError(_expected(cleaned, unit))
    number = _number(plain["number"])
    return _convert(-number if plain["sign"] else number, _unit_name(plain["unit"], unit), unit, cleaned)


def parse_number(text: str) -> float:
    """Read a bare number: digits, thousands commas, a decimal point, a leading minus.

    Raises
    ------
    ValueError
        For anything else: a unit, a date, an exponent, a decimal comma, NaN, infinity.

    Examples
    --------
    >>> parse_number("1,200.5")
    1200.5
    """
    cleaned = _clean(text)
    match = _BARE.fullmatch(cleaned)
    if not match:
        raise ValueError("a plain number such as 1200, 1,200 or 0.85")
    number = _number(match["number"])
    return -number if match["sign"] == "-" else number


def parse_journal_size(text: str) -> tuple[float, float]:
    """Read a journal size in inches, diameter by length.

    Returns
    -------
    tuple of float
        Diameter [in] and length [in].

    Examples
    --------
    >>> parse_journal_size("6-1/2 x 12")
    (6.5, 12.0)
    """
    match = _JOURNAL.fullmatch(_clean(text))
    if not match:
        raise ValueError("a journal size in inches, diameter x length, such as 5-1/2 x 10")
    return _number(match["diameter"]), _number(match["length"])


def in_unit(number: float, given: str, unit: str) -> pint.Quantity:
    """Return a number whose unit is named beside it, in another unit of the same kind.

    Parameters
    ----------
    number : float
    given : str
        An allowed unit, or blank for a plain number.
    unit : str
        Unit to return; blank for a plain number. Where it is a force, a weight counts as the force with which it
        presses under standard gravity, and the other way round.

    Raises
    ------
    ValueError
        If `given` is not an allowed unit, or measures something else.

    Examples
    --------
    >>> in_unit(3.05, "metre", "ft").to("cm").magnitude
    305.0
    >>> round(in_unit(200, "kPa", "psf").magnitude)
    4177
    """
    if given == unit:
        return Quantity(number, _UNITS.get(unit, unit))
    name, unit = _unit_name(_clean(given), unit), _UNITS.get(unit, unit)
    alike = name == unit or not {name, unit} & {"degree", "percent", ""}
    if alike and not currencies(name):
        for power in (0, 1, -1):
            found = Quantity(number, name) * REGISTRY.standard_gravity**power if power else Quantity(number, name)
            if found.is_compatible_with(unit):
                return found.to(unit)
    raise ValueError(_expected(given, unit))


def unit_of(text: str) -> pint.Unit:
    """Return the unit that a ``unit`` column names, such as ``USD/crane_hour``.

    Parameters
    ----------
    text : str
        One allowed unit, or one over one or two others (``/`` or ``per``).

    Raises
    ------
    ValueError
        If a part is not an allowed unit.

    Examples
    --------
    >>> str(unit_of("USD/mile/load"))
    'USD/load/mi'
    """
    return REGISTRY.Unit(_unit_name(_clean(text), "USD"))


def is_money(unit: pint.Unit) -> bool:
    """Return whether a unit measures money, as every rate times its drivers must."""
    return unit.dimensionality == REGISTRY.Unit("USD").dimensionality


def currencies(unit: pint.Unit | str) -> set[str]:
    """Return the codes of the currencies in a unit, such as EUR in EUR/crane_hour."""
    return set(CURRENCIES).intersection(_WORD.findall(str(unit)))


def value(quantity: pint.Quantity, unit: str, name: str = "value") -> float:
    """Return the magnitude of a quantity in a stated unit: the door from quantities to floats.

    Raises
    ------
    TypeError
        If a bare number is given, or the quantity measures something else.

    Examples
    --------
    >>> value(Quantity(1, "short_ton"), "lb")
    2000.0
    """
    if not isinstance(quantity, pint.Quantity):
        raise TypeError(f"{name} must be a quantity in {unit}; found the bare number {quantity!r}")
    try:
        return float(quantity.m_as(unit))
    except pint.DimensionalityError as error:
        raise TypeError(f"{name} must be a quantity in {unit}; found {show(quantity)}") from error


def weight_force(mass: pint.Quantity) -> pint.Quantity:
    """Return the force that a mass exerts at rest under standard gravity.

    A scale ticket gives a mass; a sling, a bridge or an outrigger feels a force.

    Examples
    --------
    >>> round(weight_force(Quantity(1000, "lb")).m_as("lbf"), 6)
    1000.0
    """
    value(mass, "lb", "mass")
    return (mass * REGISTRY.standard_gravity).to("pound_force")


def show(quantity: pint.Quantity, unit: str | None = None, digits: int = 0) -> str:
    """Show a quantity for a planner: thousands commas, one unit, no exponent.

    Examples
    --------
    >>> show(Quantity(230000, "lb"))
    '230,000 lb'
    >>> show(Quantity(230000, "lb"), "short_ton", 1)
    '115.0 short tons'
    """
    converted = quantity.to(unit) if unit else quantity
    return f"{converted.magnitude:,.{digits}f} {_short_name(converted.units)}".strip()


@functools.cache
def _short_name(unit: pint.Unit) -> str:
    return "short tons" if unit == REGISTRY.short_ton else f"{unit:~P}"


def _clean(text: str) -> str:
    if not isinstance(text, str):
        raise ValueError("text, such as 230,000 lb")
    stripped = text.strip(" \t\r\n")
    if len(stripped) > LONGEST:
        raise ValueError(f"at most {LONGEST} characters; found {len(stripped)}")
    if not stripped.isascii():
        stripped = stripped.translate(_STRAIGHT)
    if not stripped.translate(_KNOWN_SIGNS).isascii() or _CONTROL.search(stripped):
        raise ValueError("plain digits and unit names only, such as 230,000 lb")
    return _BLANKS.sub(" ", stripped)


def _number(text: str) -> float:
    whole, _, rest = text.replace(",", "").partition("/")
    if not rest:
        return float(whole)
    head = re.split(r"[ -]", whole)
    # 10/15 and 5/0 are dates or slips: a rule is marked in halves to sixty-fourths.
    if int(rest) not in (2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64) or not 0 < int(head[-1]) < int(rest):
        raise ValueError("a fraction such as 1/2, 3/8 or 15/16")
    fraction = Fraction(int(head[-1]), int(rest))
    return (float(head[0]) if len(head) > 1 else 0.0) + float(fraction)


def _unit_name(text: str, wanted: str) -> str:
    parts = _PER.split(text.strip())
    if len(parts) > 3:
        raise ValueError(_expected(text, wanted))
    if text.strip() in _UNITS:
        return _UNITS[text.strip()]
    names = []
    for part in parts:
        if part in _AMBIGUOUS_TONS:
            raise ValueError(f'"{part}" means 2,000 lb, 2,240 lb or 1,000 kg; write short_ton, long_ton or tonne')
        if part not in _UNITS:
            raise ValueError(_expected(text, wanted))
        names.append(_UNITS[part])
    return " / ".join(names)


def _convert(number: float, name: str, unit: str, text: str) -> pint.Quantity:
    # To pint an angle, a share and a plain number are one kind: it reads 9 deg as 15.7 per cent.
    if name != unit and {name, unit} & {"degree", "percent"}:
        raise ValueError(_expected(text, unit))
    # Money stays in the currency it is written in; nothing here knows a rate of exchange.
    if unit == "money":
        if name not in CURRENCIES:
            raise ValueError(_expected(text, unit))
        return Quantity(number, name)
    if currencies(name) != currencies(unit):
        raise ValueError(_expected(text, unit))
    found, wanted = Quantity(number, name), unit if unit in REGISTRY else _UNITS[unit]
    # What presses on the ground is said as a weight or as a force on an area.
    if unit == "psf" and not found.is_compatible_with(wanted):
        found = found / REGISTRY.standard_gravity
    try:
        return found.to(wanted)
    except pint.DimensionalityError as error:
        raise ValueError(_expected(text, unit)) from error


_EXAMPLES = {
    "lb": "a weight such as 230,000 lb, 98.5 short_ton or 89 tonne",
    "ft": "a length such as 44 ft 6 in, 44.5 ft or 13.56 m",
    "in": "a length such as 40 in or 1016 mm",
    "mile": "a distance such as 78 mile or 125 km",
    "mph": "a speed such as 25 mph or 40 km/h",
    "degree": "an angle such as 9 deg",
    "percent": "a share such as 1.2 %",
    "USD": "money such as 1,200 USD or $1,200",
    "money": "money such as 1,200 USD or $1,200",
    "psf": "a pressure such as 3,000 psf or 150 kPa",
    "ft2": "an area such as 200 ft2 or 16 m2",
}


def _expected(text: str, unit: str) -> str:
    return _EXAMPLES.get(unit, f"a number with a unit, such as 12 {unit}")
