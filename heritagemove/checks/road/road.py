"""Road haul: axle load, height under structures and wires.

Screening only; the permit, its route and its hours are the law on the day, and the hauler, the state
and the utilities confirm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import pint

from heritagemove.checks.check import Check, Status, compared, unknown
from heritagemove.units.ranges import at_least, not_negative, positive
from heritagemove.units.units import Quantity, show

#: To a millionth: a limit typed in kilograms or metres is met exactly, not missed by the last digit.
_positive, _not_negative = partial(positive, digits=6), partial(not_negative, digits=6)


def trailer_axle_load(
    payload: pint.Quantity | None,
    tare: pint.Quantity | None,
    axles: int | None,
    limit_per_axle: pint.Quantity | None,
    subject: str = "trailer",
    source: str = "Trailer row: limit per axle",
) -> Check:
    """Check the average axle load of a loaded trailer against a limit: (payload + tare) / n.

    Parameters
    ----------
    payload, tare : pint.Quantity or None
        Load with its chains and blocking, and empty trailer with all pulling and pushing trucks, above 0 [lb].
    axles : int or None
        n, all axles of trailer and trucks, at least 1; hydraulic trailers share the load evenly among
        theirs, and the permit lists the real loads; None is unknown.
    limit_per_axle : pint.Quantity or None
        What trailer, tires and permit allow on one axle [lb]; None is unknown.
    subject, source : str
        Which trailer, and where the limit comes from.

    Returns
    -------
    Check
        Margin: payload that may be added [lb].

    References
    ----------
    Even sharing: common practice, no source. Limit: state permit policy, e.g. Ohio DOT axle groups.

    Examples
    --------
    >>> pound = Quantity(1, "lb")
    >>> check = trailer_axle_load(150000 * pound, 118000 * pound, 13, 22500 * pound)
    >>> check.status, show(check.margin)
    ('pass', '24,500 lb')
    """
    name = "Trailer axle load"
    if payload is None:
        return unknown(name, subject, "weigh the load with jacks and gauges or on a scale", source)
    if tare is None or axles is None:
        return unknown(name, subject, "get the trailer's empty weight and axle count from the hauler", source)
    if limit_per_axle is None:
        return unknown(name, subject, "ask the permit office what one axle may carry", source)
    gross_lb = _positive(payload, "lb", "payload") + _positive(tare, "lb", "tare")
    limit_lb = _positive(limit_per_axle, "lb", "limit per axle")
    margin = Quantity(at_least(axles, 1, "axles") * limit_lb - gross_lb, "lb")
    note = (
        f"{show(Quantity(gross_lb, 'lb'))} on {axles} axles. Margin: payload that may be added. Screening "
        "only; the hauler's axle weights and the state's permit decide."
    )
    return compared(name, subject, gross_lb / axles, limit_lb, "lb", source, note, margin)


def overall_height(
    loaded_height: pint.Quantity | None,
    lowest: pint.Quantity | None,
    needed: pint.Quantity,
    subject: str,
) -> Check:
    """Check the loaded height and the clearance it needs against the lowest fixed structure.

    Parameters
    ----------
    loaded_height : pint.Quantity or None
        Road to the highest point of the load on the trailer [ft]; None is unknown.
    lowest : pint.Quantity or None
        Measured height of the lowest bridge or portal [ft]; None is unknown.
    needed : pint.Quantity
        Clearance to keep above the load, at least 0 [in].
    subject : str
        Which leg or structure.

    Returns
    -------
    Check
        Demand: loaded height and clearance [ft]; margin: by how much the load may be higher [in].
        Marginal where nothing, or less than the same clearance again, is left: a tape errs by inches,
        not by a share.

    References
    ----------
    Clearance: common practice, no source; states print posted heights with allowances of their own.

    Examples
    --------
    >>> check = overall_height(
    ...     Quantity(200, "in"), Quantity(17, "ft"), Quantity(3, "in"), "overpass")
    >>> check.status, show(check.margin)
    ('marginal', '1 in')
    """
    name, source = "Height on the road", "Route survey; clearance is the museum's policy"
    if loaded_height is None:
        return unknown(name, subject, "measure the loaded height, or body height, underside and deck", source)
    if lowest is None:
        return unknown(name, subject, "measure the lowest structure of this leg", source)
    needed_in = _not_negative(needed, "in", "clearance")
    height_in = _positive(loaded_height, "in", "loaded height") + needed_in
    lowest_in = _positive(lowest, "in", "lowest structure")
    margin_in = round(lowest_in - height_in, 6)
    close = margin_in == 0 or margin_in < needed_in
    status: Status = "fail" if margin_in < 0 else "marginal" if close else "pass"
    demand, capacity = Quantity(height_in / 12, "ft"), Quantity(lowest_in / 12, "ft")
    note = (
        f"{show(needed, 'in')} of clearance included. Screening only; the hauler measures again under load and "
        "the permit office confirms the structure."
    )
    return Check(name, subject, demand, capacity, status, Quantity(margin_in, "in"), source, note, "height")


def wires_to_lift(
    loaded_height: pint.Quantity | None,
    wire_counts: Sequence[int | None],
    lowest_wires: Sequence[pint.Quantity | None],
    needed: pint.Quantity,
) -> int | None:
    """Return how many wires must be lifted: all of each leg whose lowest wire is too low.

    Only the lowest wire of a leg is measured, so where that one is too low all of its low wires are
    counted. Only the utility lifts or moves a line.

    Parameters
    ----------
    loaded_height : pint.Quantity or None
        As in :func:`overall_height`; None gives None.
    wire_counts : sequence of int or None
        Low wires of each leg; an unknown count gives None.
    lowest_wires : sequence of pint.Quantity or None
        Lowest wire of each leg [ft]; None where there are wires gives None.
    needed : pint.Quantity
        Clearance to keep under a wire, at least 0 [in].

    References
    ----------
    Clearance under wires: the utility's rule; 29 CFR 1926.1408 rules lifting near lines, not hauling.

    Examples
    --------
    >>> feet = [Quantity(height, "ft") for height in (17.8, 18.5, 19.5)]
    >>> wires_to_lift(Quantity(17.75, "ft"), [6, 9, 4], feet, Quantity(6, "in"))
    6
    """
    if len(wire_counts) != len(lowest_wires):
        raise ValueError(
            f"give one lowest wire for each count; found {len(wire_counts)} counts and {len(lowest_wires)} heights"
        )
    needed_in = _not_negative(needed, "in", "clearance")
    if loaded_height is None:
        return None
    top_in = round(_positive(loaded_height, "in", "loaded height") + needed_in, 6)
    total: int | None = 0
    for count, lowest in zip(wire_counts, lowest_wires, strict=True):
        if count is not None and count < 0:
            raise ValueError(f"wires of a leg must be at least 0; found {count}")
        height_in = None if lowest is None else _positive(lowest, "in", "lowest wire")
        clear = count == 0 or (height_in is not None and height_in >= top_in)
        if clear or total is None:
            continue
        total = None if count is None or height_in is None else total + count
    return total
