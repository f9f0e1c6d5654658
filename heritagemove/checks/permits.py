"""What a road permit brings with it: superload review, escorts, days on the road.

Thresholds are the state's and move often; each comes from a row. Screening only; the permit decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pint

from heritagemove.units import Quantity, value

DIMENSIONS = ("width", "height", "length")
ESCORTS = ("lead", "rear", "high_pole", "utility", "police")


@dataclass(frozen=True)
class Escorts:
    """Escorts that go with one load, each 0 or 1.

    Attributes
    ----------
    lead, rear, high_pole, utility, police : int
        Car ahead, car behind, car ahead with a height pole, utility crew, police car.
    """

    lead: int = 0
    rear: int = 0
    high_pole: int = 0
    utility: int = 0
    police: int = 0

    @property
    def pilot_cars(self) -> int:
        """Cars to hire; the pole car is the lead car too (common practice; Arkansas and Ohio say so)."""
        return max(self.lead, self.high_pole) + self.rear


def superload(
    gross: pint.Quantity | None,
    threshold: pint.Quantity | None,
    sizes: Sequence[tuple[pint.Quantity | None, pint.Quantity]] = (),
) -> bool | None:
    """Return whether a load is over one of the state's superload thresholds: weight, width, height or length.

    Parameters
    ----------
    gross, threshold : pint.Quantity or None
        Truck, trailer and load, and the state's threshold [lb]; None is unknown.
    sizes : sequence of (pint.Quantity or None, pint.Quantity)
        Each dimension of the loaded trailer with its own threshold [ft]; a dimension of None is unknown.

    Returns
    -------
    bool or None
        True as soon as one is over; None where none is over and one is unknown.

    Raises
    ------
    ValueError
        If a weight or a size is not above 0.

    References
    ----------
    Ohio DOT, Superload vehicle configuration: over 120,000 lb. Other states: 160,000 to 201,000 lb, 16 to 17 ft
    wide, 14 ft 6 in to 16 ft high, 110 to 160 ft long (a freight broker's summary, undated).

    Examples
    --------
    >>> superload(Quantity(120000, "lb"), Quantity(120000, "lb"))
    False
    >>> superload(Quantity(90000, "lb"), Quantity(120000, "lb"), [(Quantity(17, "ft"), Quantity(16, "ft"))])
    True
    """
    weights = [] if threshold is None else [_over(gross, threshold, "lb", "gross weight")]
    over = [*weights, *(_over(size, most, "ft", "size of the load") for size, most in sizes)]
    if True in over:
        return True
    return None if threshold is None or None in over else False


def _over(found: pint.Quantity | None, threshold: pint.Quantity, unit: str, name: str) -> bool | None:
    if found is None:
        return None
    return _positive(found, unit, name) > _positive(threshold, unit, "superload threshold")


def escorts(
    width: pint.Quantity | None,
    height: pint.Quantity | None,
    length: pint.Quantity | None,
    thresholds: Mapping[str, pint.Quantity],
) -> Escorts | None:
    """Return the escorts a load needs: each whose width, height or length threshold is exceeded.

    Parameters
    ----------
    width, height, length : pint.Quantity or None
        Of the loaded trailer, pulling truck included [ft]. None gives None where a threshold needs it.
    thresholds : mapping of str to pint.Quantity
        ``<escort>_<dimension>`` to the size above which it is needed [ft], such as ``high_pole_height``.
        Escorts are lead, rear, high_pole, utility and police; what is not listed is not required.

    Raises
    ------
    ValueError
        If a key is not an escort and a dimension, or a size is not above 0.

    References
    ----------
    Ohio escort rules, as two permit services quote them (secondary); states differ.

    Examples
    --------
    >>> feet = Quantity(1, "ft")
    >>> ohio = {"high_pole_height": 14.5 * feet, "rear_height": 14 * feet + Quantity(10, "in"),
    ...         "lead_width": 13 * feet, "rear_width": 14.5 * feet, "rear_length": 90 * feet}
    >>> escorts(12 * feet, 16 * feet, 124 * feet, ohio).pilot_cars
    2
    """
    sizes = dict(zip(DIMENSIONS, (width, height, length), strict=True))
    sizes_ft = {name: None if size is None else _positive(size, "ft", name) for name, size in sizes.items()}
    needed = dict.fromkeys(ESCORTS, 0)
    for key, threshold in thresholds.items():
        escort, _, dimension = key.rpartition("_")
        if escort not in ESCORTS or dimension not in DIMENSIONS:
            raise ValueError(f'found threshold "{key}"; allowed: {", ".join(ESCORTS)}, each with _{", _".join(DIMENSIONS)}')
        limit_ft = _positive(threshold, "ft", key)
        size_ft = sizes_ft[dimension]
        if size_ft is None:
            return None
        if size_ft > limit_ft:
            needed[escort] = 1
    return Escorts(**needed)


def haul_days(distance: pint.Quantity | None, miles_per_day: pint.Quantity) -> pint.Quantity | None:
    """Return the whole days on the road: ceil(distance / distance a day).

    Parameters
    ----------
    distance : pint.Quantity or None
        Length of the route with its detours, at least 0 [mile]; None gives None.
    miles_per_day : pint.Quantity
        What the loaded trailer makes in the hours its permit allows [mile].

    Returns
    -------
    pint.Quantity or None
        Days [day].

    Raises
    ------
    ValueError
        If the distance is below 0 or the daily distance is not above 0.

    References
    ----------
    Pace: a superload made under 50 miles in more than 8 hours (2018 report, secondary).

    Examples
    --------
    >>> haul_days(Quantity(77.7, "mile"), Quantity(45, "mile")).magnitude
    2
    """
    daily_mile = _positive(miles_per_day, "mile", "distance a day")
    if distance is None:
        return None
    mile = value(distance, "mile", "distance")
    if not 0 <= mile < math.inf:
        raise ValueError(f"distance must be at least 0; found {mile:g} mile")
    return Quantity(math.ceil(round(mile / daily_mile, 9)), "day")


def _positive(quantity: pint.Quantity, unit: str, name: str) -> float:
    number = value(quantity, unit, name)
    if not 0 < number < math.inf:
        raise ValueError(f"{name} must be more than 0; found {number:,g} {unit}")
    # To a millionth: a limit typed in kilograms or metres is met exactly, not missed by the last digit.
    return round(number, 6)
