"""Wind on a lifted load: the highest wind in which a crane holds a body that stands like a sail.

Screening only. The crane's own manual rules, and the lift director stops the lift.
"""

from __future__ import annotations

import math

import pint

from heritagemove.checks.check import Check, compared, unmeasured
from heritagemove.units.ranges import above_zero, positive
from heritagemove.units.units import Quantity

_NAME = "Wind on the load"
_SOURCE = "Crane makers' manuals: v = v chart x sqrt(area per weight x W / (A c)); 29 CFR 1926.1417(n)"


def wind_allowed(
    chart_wind: pint.Quantity, weight: pint.Quantity, sail: pint.Quantity, drag: float, per_weight: pint.Quantity
) -> pint.Quantity:
    """Return the highest wind for a load that stands like a sail: v = v_c sqrt(a W / (A c)), at most v_c.

    Parameters
    ----------
    chart_wind : pint.Quantity
        v_c, highest wind of the load chart [mph].
    weight : pint.Quantity
        W, lifted weight [lb].
    sail : pint.Quantity
        A, side of the load that the wind meets [ft²].
    drag : float
        c, drag coefficient of its shape, above 0 [-].
    per_weight : pint.Quantity
        a, wind resistance area that the chart already counts for each weight lifted [ft²/short ton].

    References
    ----------
    A crane maker's operator's manual counts 1.2 m² for each tonne (0.0059 ft²/lb); a planner's sheet takes 11.3 m/s down
    to the root of 57.80 x 1.6 for 96.8 t and 133.65 m².

    Examples
    --------
    >>> round(wind_allowed(Quantity(11.3, "m/s"), Quantity(96.8, "tonne"), Quantity(133.65, "m**2"), 1.2,
    ...                    Quantity(1.2, "m**2/tonne")).m_as("m/s"), 2)
    9.62
    """
    wind_mph, weight_lb = positive(chart_wind, "mph", "wind of the chart"), positive(weight, "lb", "weight")
    met_ft2 = positive(sail, "ft ** 2", "sail area") * above_zero(drag, "drag coefficient")
    counted_ft2 = positive(per_weight, "ft ** 2 / lb", "area for each weight") * weight_lb
    return Quantity(wind_mph * min(1.0, math.sqrt(counted_ft2 / met_ft2)), "mph")


def wind(
    stop: pint.Quantity | None,
    chart_wind: pint.Quantity | None,
    weight: pint.Quantity | None,
    sail: pint.Quantity | None,
    drag: float | None,
    per_weight: pint.Quantity | None,
    subject: str = "main lift",
) -> Check:
    """Check that the lift director stops before the wind is too much for this load.

    Parameters
    ----------
    stop : pint.Quantity or None
        Wind in which the lift director stops [mph].
    chart_wind, weight, sail, drag, per_weight
        As in :func:`wind_allowed`; None in any is unknown.
    subject : str
        Which lift.

    Returns
    -------
    Check
        Demand: wind in which the director stops; capacity: highest wind for this load [mph].

    Examples
    --------
    >>> wind(Quantity(10, "mph"), Quantity(22, "mph"), Quantity(30000, "lb"), None, 1.2, None).status
    'unknown'
    """
    wanted = {
        "agree with the lift director in which wind he stops": stop,
        "read the highest wind in the notes of the crane's chart": chart_wind,
        "weigh the body": weight,
        "measure its length, height and underside": sail,
        "enter the drag of its shape in limits.csv": drag,
        "enter the sail area for each weight in limits.csv": per_weight,
    }
    blank = unmeasured(_NAME, subject, _SOURCE, wanted)
    if blank:
        return blank
    allowed = wind_allowed(chart_wind, weight, sail, drag, per_weight)
    note = "Gusts at the boom's tip count. The lift director stops, and anyone else may."
    return compared(_NAME, subject, positive(stop, "mph", "wind to stop in"), allowed.magnitude, "mph", _SOURCE, note)
