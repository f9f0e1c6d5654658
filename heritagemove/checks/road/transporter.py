"""Self-propelled transporter: axle lines, pressure on the ground, pull to roll and climb on tires.

Screening only. The transporter's owner, a rigging engineer and a ground engineer decide.
"""

from __future__ import annotations

import math

import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import at_least, between, not_negative, positive
from heritagemove.units.units import Quantity, weight_force

_SOURCE = "Shadow-area method, as described by heavy-transport engineers (secondary)"
_NO_PACKING = Quantity(0, "lb")


def axle_lines(weight: pint.Quantity | None, per_line_working: pint.Quantity, minimum: int) -> int | None:
    """Return the whole axle lines under a load: max(minimum, ceil(W / working load of one line)).

    Parameters
    ----------
    weight : pint.Quantity or None
        W, load with its frame and packing [lb]; None gives None.
    per_line_working : pint.Quantity
        What one line is planned to carry [lb]: about half of its rating in practice.
    minimum : int
        Fewest lines that exist as a set or that keep the load stable, at least 1.

    References
    ----------
    A transformer of 237,000 lb went on 6 lines, 39,500 lb each (trade magazine report); rated 40 t a line.

    Examples
    --------
    >>> axle_lines(Quantity(237000, "lb"), Quantity(39500, "lb"), 4)
    6
    """
    at_least(minimum, 1, "minimum of axle lines")
    line_lb = positive(per_line_working, "lb", "working load of one line")
    if weight is None:
        return None
    # A load typed in tonnes that fills its lines exactly must not ask for one more.
    return max(minimum, math.ceil(positive(weight, "lb", "weight") / line_lb - 1e-9))


def transporter_ground_pressure(
    payload: pint.Quantity | None,
    lines: int | None,
    line_tare: pint.Quantity,
    power_pack: pint.Quantity,
    line_pitch: pint.Quantity,
    width: pint.Quantity,
    allowed: pint.Quantity | None,
    subject: str = "transporter",
    packing: pint.Quantity = _NO_PACKING,
) -> Check:
    """Check the pressure under the transporter: p = (payload + packing + n tare + power pack) / (n a b).

    Parameters
    ----------
    payload : pint.Quantity or None
        Load as lifted [lb]; None is unknown.
    lines : int or None
        n, axle lines, all files of the transporter together; None is unknown.
    line_tare, power_pack : pint.Quantity
        Own weight of one line, and of the power packs together, at least 0 [lb].
    line_pitch, width : pint.Quantity
        a, distance from line to line, and b, width over one file [ft].
    allowed : pint.Quantity or None
        Ground pressure allowed [psf]; None is unknown.
    subject : str
        Where.
    packing : pint.Quantity
        Frames, beams and packing between transporter and load, at least 0 [lb].

    Returns
    -------
    Check
        Demand: p; capacity: allowed pressure [lb/ft²]; margin: payload that may be added [lb].

    References
    ----------
    Shadow area: axle-unit length x width, under payload, trailer, power pack and packing together
    (two heavy-transport engineering pages, secondary).

    Examples
    --------
    >>> tonne, metre = Quantity(1, "tonne"), Quantity(1, "m")
    >>> check = transporter_ground_pressure(
    ...     100 * tonne, 6, 4 * tonne, 6 * tonne, 1.4 * metre, 2.43 * metre, Quantity(2000, "lb/ft**2"))
    >>> round(check.demand.m_as("tonne/m**2"), 2), check.status
    (6.37, 'pass')
    """
    name = "Ground pressure under transporter"
    if payload is None or lines is None:
        return unknown(name, subject, "weigh the load and choose the transporter's axle lines", _SOURCE)
    if allowed is None:
        return unknown(name, subject, "have a ground engineer test the route with a plate", _SOURCE)
    own = {"tare of one line": line_tare, "power pack": power_pack, "packing": packing}
    tare_lb, pack_lb, packing_lb = (not_negative(weight, "lb", name) for name, weight in own.items())
    area_ft2 = at_least(lines, 1, "axle lines") * positive(line_pitch, "ft", "line pitch") * positive(width, "ft", "width")
    gross_lb = positive(payload, "lb", "payload") + packing_lb + lines * tare_lb + pack_lb
    allowed_psf = positive(allowed, "lb/ft**2", "allowed pressure")
    margin = Quantity(allowed_psf * area_ft2 - gross_lb, "lb")
    note = (
        "Averaged over the transporter's plan; a culvert, a soft shoulder or a thin slab needs its own look. "
        "Screening only; a ground engineer and the transporter's owner decide."
    )
    return compared(name, subject, gross_lb / area_ft2, allowed_psf, "lb/ft**2", _SOURCE, note, margin)


def haul_pull(
    weight: pint.Quantity, grade: pint.Quantity, penetration: pint.Quantity, rolling: pint.Quantity
) -> pint.Quantity:
    """Return the pull to move a load on tires: R = (r + 1.5 % p + s) W.

    Parameters
    ----------
    weight : pint.Quantity
        W, everything on the tires [lb].
    grade : pint.Quantity
        s, rise over run, below 0 downhill, -100 to 100 [percent].
    penetration : pint.Quantity
        p, how deep the tires sink, at least 0 [in]; 1.5 % is for each inch.
    rolling : pint.Quantity
        r, rolling pull on a firm road, share of the weight, 0 to 100 [percent], from a limit row.

    Returns
    -------
    pint.Quantity
        R, for a steady pull [lbf]; below 0 the load pushes and must be held back.

    References
    ----------
    Earthmoving practice: 40 lb/ton, 30 lb/ton an inch, 20 lb/ton for each percent of grade (secondary).

    Examples
    --------
    >>> load, firm = Quantity(124, "short_ton"), Quantity(2, "percent")
    >>> round(haul_pull(load, Quantity(3, "percent"), Quantity(1, "in"), firm).m_as("lbf"))
    16120
    """
    positive(weight, "lb", "weight")
    percent, depth_in = between(grade, "percent", "grade", -100, 100), not_negative(penetration, "in", "penetration")
    rolling_percent = between(rolling, "percent", "rolling pull", 0, 100)
    return weight_force(weight) * ((rolling_percent + 1.5 * depth_in + percent) / 100)
