"""Transit: speed by class of track, days on the way, and the chance of a hot box.

Screening only. The railroad's mechanical and operating officers decide speed, hours and inspection stops.
"""

from __future__ import annotations

import math

import pint

from heritagemove.units.ranges import all_positive, not_negative, positive
from heritagemove.units.units import Quantity, value


def transit_days(
    lengths: pint.Quantity,
    speeds: pint.Quantity,
    crew_hours: pint.Quantity,
    dwell_days: pint.Quantity,
    daylight: pint.Quantity | None = None,
) -> pint.Quantity:
    """Return the whole days that one carrier's legs take: ceil(Σ(length/speed)/hours) + ceil(dwell) [day].

    Parameters
    ----------
    lengths, speeds : pint.Quantity
        Arrays of shape (n,): each leg [mile] and the speed of this move on it [mph].
    crew_hours : pint.Quantity
        Hours that a crew may run in a day, at most 24 [hour].
    dwell_days : pint.Quantity
        Waiting at the interchange onto this carrier, at least 0 [day].
    daylight : pint.Quantity or None
        Hours of daylight where the move is barred at night [hour]; None where it is not.

    References
    ----------
    49 U.S.C. 21103 (2000): at most 12 consecutive hours on duty, stops and paperwork counted, so the running
    hours are fewer.

    Examples
    --------
    >>> lengths, speeds = Quantity([1.8, 22.4], "mile"), Quantity([5, 10], "mph")
    >>> transit_days(lengths, speeds, Quantity(8, "hour"), Quantity(2, "day")).magnitude
    3.0
    """
    miles, mph = all_positive(lengths, "mile", "length"), all_positive(speeds, "mph", "speed")
    if miles.shape != mph.shape:
        raise ValueError(f"give one speed for each leg; found {miles.size} legs, {mph.size} speeds")
    hours = min(_hours(crew_hours, "crew hours"), 24 if daylight is None else _hours(daylight, "daylight"))
    dwell = not_negative(dwell_days, "day", "dwell")
    # A day filled exactly must not become two on the last digit of a conversion from km.
    return Quantity(float(sum(math.ceil(days - 1e-9) for days in ((miles / mph).sum() / hours, dwell))), "day")


def hot_box_chance(distance: pint.Quantity, car_miles_per_set_off: pint.Quantity) -> pint.Quantity:
    """Return the chance that a hot box sets the vehicle off: p = 1 - exp(-d/M) [percent].

    A lower bound: M comes from cars in daily service, oiled and watched, not from one that stood for years.

    Parameters
    ----------
    distance : pint.Quantity
        d, at least 0 [mile].
    car_miles_per_set_off : pint.Quantity
        M, car-miles for each set-off [mile].

    References
    ----------
    M: University of Illinois Engineering Experiment Station, Bulletin 406 (1953): 84,195 to 223,263 car-miles.
    The formula takes set-offs as a Poisson process.

    Examples
    --------
    >>> round(hot_box_chance(Quantity(100, "mile"), Quantity(84195, "mile")).magnitude, 3)
    0.119
    """
    between = positive(car_miles_per_set_off, "mile", "car-miles per set-off")
    return Quantity(-100 * math.expm1(-not_negative(distance, "mile", "distance") / between), "percent")


def _hours(quantity: pint.Quantity, name: str) -> float:
    hours = value(quantity, "hour", name)
    if not 0 < hours <= 24:
        raise ValueError(f"{name} must be more than 0 and at most 24 hour; found {hours:g} hour")
    return hours
