"""A local shift over the ground: side-lifting machines, skid pan and winch, jack and roll, a few panels of track.

Screening only. The rigging engineer, whose machines and ground they are, decides.
"""

from __future__ import annotations

import math

import pint

from heritagemove.checks.check import Check, compared, unmeasured
from heritagemove.units.ranges import above_zero, at_least, between, fraction, not_negative, positive
from heritagemove.units.units import Quantity, weight_force

_MACHINES = "Machine's load chart at its overhang; share of it: common practice, no source"
_PULL = "R = W (f + s), statics of a slope; friction from memory"
_JACKS = "P = W (1 + u) / n, statics; unevenness: common practice, no source"
_GROUND = "p = F / A; bearing of the ground as for cranes"
_DECIDES = "Screening only; the rigging engineer decides."
_WEIGH = "weigh it, or find its weight on the plate or builder card"
#: A length typed in metres that fills its panels or days exactly must not ask for one more.
_HAIR = 1e-9


def side_machines(weight: pint.Quantity | None, rated: pint.Quantity | None, share: float, least: int) -> int | None:
    """Return how many side-lifting machines carry a unit between them: max(least, ceil(W / (share x rated load))).

    Parameters
    ----------
    weight, rated : pint.Quantity or None
        W, of the unit, and the load that the chart allows one machine at its overhang [lb]; None in either gives None.
    share : float
        Part of the rated load to plan with, above 0 to 1 [-].
    least : int
        Fewest machines that keep the unit level, at least 1.

    References
    ----------
    Common practice, no source: machines that share a load and walk with it are planned well under their charts.

    Examples
    --------
    >>> side_machines(Quantity(150000, "lb"), Quantity(60000, "lb"), 0.75, 2)
    4
    """
    at_least(least, 1, "fewest machines")
    if weight is None or rated is None:
        return None
    each_lb = fraction(share, "share of the rated load") * positive(rated, "lb", "rated load")
    return max(least, math.ceil(positive(weight, "lb", "weight") / each_lb - _HAIR))


def side_lift(
    weight: pint.Quantity | None, rated: pint.Quantity | None, share: float | None, most: int | None, subject: str = "unit"
) -> Check:
    """Check a unit against what as many side-lifting machines as find room along it carry: W against n share x rated load.

    Parameters
    ----------
    weight, rated : pint.Quantity or None
        As in :func:`side_machines` [lb]; None in either is unknown.
    share : float or None
        Part of the rated load to plan with, above 0 to 1 [-]; None is unknown.
    most : int or None
        n, machines that find room along the unit or are to be had, at least 1; None is unknown.
    subject : str
        What is lifted.

    Returns
    -------
    Check
        Margin: weight that may be added [lb].

    Examples
    --------
    >>> side_lift(Quantity(150000, "lb"), Quantity(60000, "lb"), 0.75, 4, "boxcar").margin.magnitude
    30000.0
    """
    name = "Side-lifting machines"
    wanted = {
        _WEIGH: weight,
        "ask the firm for a machine's rated load at its overhang": rated,
        "ask how much of it may be planned with": share,
        "ask how many machines find room along it": most,
    }
    if blank := unmeasured(name, subject, _MACHINES, wanted):
        return blank
    each_lb = fraction(share, "share of the rated load") * positive(rated, "lb", "rated load")
    capacity_lb = at_least(most, 1, "machines") * each_lb
    return compared(name, subject, positive(weight, "lb", "weight"), capacity_lb, "lb", _MACHINES, _DECIDES)


def shift_pull(
    weight: pint.Quantity | None,
    friction: pint.Quantity | None,
    grade: pint.Quantity | None,
    rating: pint.Quantity | None,
    subject: str = "unit",
) -> Check:
    """Check the pull that starts a unit on its skids, rollers or wheels: R = W (f + s) against the winch.

    Parameters
    ----------
    weight : pint.Quantity or None
        W, of the unit [lb]; None is unknown.
    friction, grade : pint.Quantity or None
        f, share of the weight that starts it on the level, above 0, and s, rise over run, each up to 100 [percent];
        downhill counts as level, since it must be held back as well; None in either is unknown.
    rating : pint.Quantity or None
        Working pull of the winch with its blocks [lbf]; None is unknown.
    subject : str
        What is pulled.

    Returns
    -------
    Check
        Demand: R [lbf]; margin: weight that may be added [lb].

    References
    ----------
    Statics. Friction of greased skids about 10 to 20 %, of rollers 2 to 5 %, of wheels on track 1 to 2 %: from memory.

    Examples
    --------
    >>> check = shift_pull(Quantity(150000, "lb"), Quantity(15, "percent"), Quantity(2, "percent"), Quantity(30000, "lbf"),
    ...                    "boxcar")
    >>> round(check.demand.m_as("lbf")), check.status, round(check.margin.m_as("lb"))
    (25500, 'pass', 26471)
    """
    name = "Pull of the shift"
    wanted = {
        _WEIGH: weight,
        "ask the mover for the friction that is planned with": friction,
        "measure the steepest grade on the way": grade,
        "ask for the winch's working pull with its blocks": rating,
    }
    if blank := unmeasured(name, subject, _PULL, wanted):
        return blank
    share = above_zero(between(friction, "percent", "friction", 0, 100), "friction", "percent") / 100
    share += max(between(grade, "percent", "grade", -100, 100), 0.0) / 100
    weight_lb, rating_lbf = positive(weight, "lb", "weight"), positive(rating, "lbf", "working pull")
    pull_lbf = weight_force(Quantity(weight_lb, "lb")).m_as("lbf") * share
    margin = Quantity(rating_lbf / share - weight_lb, "lb")
    return compared(name, subject, pull_lbf, rating_lbf, "lbf", _PULL, _DECIDES, margin)


def jacking_share(weight: pint.Quantity, points: int, unevenness: pint.Quantity) -> pint.Quantity:
    """Return what the worst of the jacking points carries: P = W (1 + u) / n [lb].

    Parameters
    ----------
    weight : pint.Quantity
        W, of the unit [lb].
    points : int
        n, jacking points, at least 3.
    unevenness : pint.Quantity
        u, by which the worst point is planned above the mean, at least 0 [percent].

    References
    ----------
    Statics; a stiff frame on four points may rest on three, which is u = 33 %: common practice, no source.

    Examples
    --------
    >>> jacking_share(Quantity(150000, "lb"), 4, Quantity(33, "percent")).magnitude
    49875.0
    """
    uneven = not_negative(unevenness, "percent", "unevenness") / 100
    return Quantity(positive(weight, "lb", "weight") * (1 + uneven) / at_least(points, 3, "jacking points"), "lb")


def jack(share: pint.Quantity | None, rating: pint.Quantity | None, subject: str) -> Check:
    """Check the worst jacking point against the working load of a jack.

    Parameters
    ----------
    share, rating : pint.Quantity or None
        Load of the worst point, as :func:`jacking_share` tells, and working load of one jack [lb]; None is unknown.
    subject : str
        What is jacked.

    Examples
    --------
    >>> jack(Quantity(49875, "lb"), Quantity(50000, "lb"), "boxcar").status
    'marginal'
    """
    name = "Jacks"
    wanted = {f"{_WEIGH}, and count its jacking points": share, "ask for the working load of one jack": rating}
    if blank := unmeasured(name, subject, _JACKS, wanted):
        return blank
    demand_lb, rating_lb = positive(share, "lb", "load of one point"), positive(rating, "lb", "working load of a jack")
    return compared(name, subject, demand_lb, rating_lb, "lb", _JACKS, f"Only proved points are jacked. {_DECIDES}")


def shift_pressure(
    load: pint.Quantity | None, area: pint.Quantity | None, bearing: pint.Quantity | None, subject: str = "mat"
) -> Check:
    """Check what a shift puts on the ground, p = F / A, against what the ground bears.

    Parameters
    ----------
    load : pint.Quantity or None
        F, on one crib, one machine's loaded track, or all of the skid way or track panel under the unit [lb].
    area : pint.Quantity or None
        A, of the mats, ties or crib under it [ft²].
    bearing : pint.Quantity or None
        What the ground bears [lb/ft²]; None is unknown.
    subject : str
        What stands where.

    References
    ----------
    Mean pressure. A culvert, a soft edge or wet ground needs its own look.

    Examples
    --------
    >>> check = shift_pressure(Quantity(49875, "lb"), Quantity(48, "ft**2"), Quantity(2000, "lb/ft**2"), "crib")
    >>> round(check.demand.m_as("lb/ft**2")), check.status
    (1039, 'pass')
    """
    name = "Ground under the shift"
    wanted = {
        f"{_WEIGH}; ask the mover what stands on the ground": load,
        "measure the unit and the mats under it": area,
        "have a ground engineer test the way": bearing,
    }
    if blank := unmeasured(name, subject, _GROUND, wanted):
        return blank
    pressure_psf = positive(load, "lb", "load") / positive(area, "ft**2", "area")
    bears_psf = positive(bearing, "lb/ft**2", "bearing")
    note = f"A culvert, a soft edge or wet ground needs its own look. {_DECIDES}"
    return compared(name, subject, pressure_psf, bears_psf, "lb/ft**2", _GROUND, note)


def loaded_track(
    machine_weight: pint.Quantity, weight: pint.Quantity, machines: int, share: pint.Quantity
) -> pint.Quantity:
    """Return what the track on the load's side of one side-lifting machine carries: F = share (M + W / n) [lb].

    Parameters
    ----------
    machine_weight, weight : pint.Quantity
        M, of one machine, and W, of the unit [lb].
    machines : int
        n, at least 1.
    share : pint.Quantity
        Part of both that the track on the load's side carries, above 0 to 100 [percent].

    References
    ----------
    Statics; at the rated load the far track is nearly light: common practice, no source.

    Examples
    --------
    >>> loaded_track(Quantity(110000, "lb"), Quantity(150000, "lb"), 4, Quantity(85, "percent")).magnitude
    125375.0
    """
    each_lb = positive(weight, "lb", "weight") / at_least(machines, 1, "machines")
    part = fraction(share, "share of the loaded track")
    return Quantity(part * (positive(machine_weight, "lb", "weight of a machine") + each_lb), "lb")


def track_panels(distance: pint.Quantity, unit_length: pint.Quantity, panel: pint.Quantity) -> int:
    """Return the panels of track under a whole shift: ceil((distance + length of the unit) / length of a panel).

    Fewer do where those behind the unit are laid again in front of it.

    Parameters
    ----------
    distance, unit_length, panel : pint.Quantity
        How far it is shifted, at least 0, length of the unit, and of one panel [ft].

    References
    ----------
    Geometry; a panel is as long as its rails, 39 ft in North America (from memory).

    Examples
    --------
    >>> track_panels(Quantity(300, "ft"), Quantity(41, "ft"), Quantity(39, "ft"))
    9
    """
    under_ft = not_negative(distance, "ft", "distance") + positive(unit_length, "ft", "length of the unit")
    return math.ceil(under_ft / positive(panel, "ft", "length of a panel") - _HAIR)


def shift_days(distance: pint.Quantity, a_day: pint.Quantity, set_up: pint.Quantity) -> int:
    """Return the whole days a crew works on a shift: set-up + ceil(distance / feet a day), set-up rounded up.

    Parameters
    ----------
    distance, a_day : pint.Quantity
        How far it is shifted, at least 0, and how far in one day [ft].
    set_up : pint.Quantity
        Days to rig, jack and set down, at least 0 [day].

    References
    ----------
    Common practice, no source: ask the mover.

    Examples
    --------
    >>> shift_days(Quantity(300, "ft"), Quantity(60, "ft"), Quantity(3, "day"))
    8
    """
    moving = not_negative(distance, "ft", "distance") / positive(a_day, "ft", "feet a day")
    return math.ceil(not_negative(set_up, "day", "set-up") - _HAIR) + math.ceil(moving - _HAIR)
