"""Axles in a row: where they stand and what each carries, as the formulas take them."""

from __future__ import annotations

import numpy as np
import pint

from heritagemove.units.ranges import all_positive


def axle_layout(positions: pint.Quantity, loads: pint.Quantity) -> tuple[np.ndarray, np.ndarray]:
    """Return positions [ft] and loads [lb] of a row of axles, front to rear, each of shape (n,).

    Parameters
    ----------
    positions, loads : pint.Quantity
        Arrays of shape (n,), at least one: place, rising [ft], and load, above 0 [lb or lbf], of each axle.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> axle_layout(Quantity([0, 16], "ft"), Quantity([12, 17], "kip"))[1].tolist()
    [12000.0, 17000.0]
    """
    place_ft = np.atleast_1d(np.asarray(positions.m_as("ft"), dtype=float))
    # A weight is a mass on a scale ticket and a force on a bridge; 1 lb of mass presses with 1 lbf.
    load_lb = np.atleast_1d(all_positive(loads, "lbf" if loads.check("[force]") else "lb", "axle load"))
    if place_ft.size != load_lb.size:
        raise ValueError(f"give one position for each axle load; found {place_ft.size} and {load_lb.size}")
    if not (np.all(np.isfinite(place_ft)) and np.all(np.diff(place_ft) > 0)):
        raise ValueError(f"axle positions must rise from front to rear; found {', '.join(f'{x:g}' for x in place_ft)} ft")
    return place_ft, load_lb
