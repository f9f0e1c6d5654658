"""Road haul: height under structures and wires.

Screening only; the permit, its route and its hours are the law on the day, and the hauler, the state
and the utilities confirm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import pint

from heritagemove.checks.check import Check, Status, unknown
from heritagemove.units.ranges import not_negative, positive
from heritagemove.units.units import Quantity, show

#: To a millionth: a limit typed in kilograms or metres is met exactly, not missed by the last digit.
_positive, _not_negative = partial(positive, digits=6), partial(not_negative, digits=6)


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
    needed: Sequence[pint.Quantity | None],
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
    needed : sequence of pint.Quantity or None
        Air to keep under the wires of each leg by their voltage, at least 0 [in]; None where there are wires gives None.

    References
    ----------
    Air under wires: the utility's rule; 29 CFR 1926.1408 rules lifting near lines, not hauling.

    Examples
    --------
    >>> feet = [Quantity(height, "ft") for height in (17.8, 18.5, 19.5)]
    >>> wires_to_lift(Quantity(17.75, "ft"), [6, 9, 4], feet, [Quantity(6, "in")] * 3)
    6
    """
    if not len(wire_counts) == len(lowest_wires) == len(needed):
        found = f"{len(wire_counts)} counts, {len(lowest_wires)} heights and {len(needed)} clearances"
        raise ValueError(f"give one lowest wire and one clearance for each count; found {found}")
    air_in = [None if each is None else _not_negative(each, "in", "clearance") for each in needed]
    if loaded_height is None:
        return None
    top_in = _positive(loaded_height, "in", "loaded height")
    total: int | None = 0
    for count, lowest, above_in in zip(wire_counts, lowest_wires, air_in, strict=True):
        if count is not None and count < 0:
            raise ValueError(f"wires of a leg must be at least 0; found {count}")
        height_in = None if lowest is None else _positive(lowest, "in", "lowest wire")
        known = None not in (height_in, above_in)
        if count == 0 or (known and height_in >= round(top_in + above_in, 6)) or total is None:
            continue
        total = total + count if known and count is not None else None
    return total
