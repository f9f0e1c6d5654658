"""A unit on other trucks than its own: what it weighs on them, where their axles stand and what each carries."""

from __future__ import annotations

from typing import Any

import numpy as np
import pint

from heritagemove.checks.gates import body
from heritagemove.checks.running import axle_load
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.axles import Axle
from heritagemove.units.units import Quantity


def trucks_under(museum: Museum, stage: Any) -> Any:
    """Return the kind of truck that is put under the unit in a stage; None where it keeps its own."""
    wanted = None if stage is None else stage.trucks
    return next((row for row in museum.donor_trucks if row.donor_truck == wanted), None)


def on_trucks(museum: Museum, unit: Any, truck: Any, out: pint.Quantity) -> tuple[Museum, pint.Quantity | None]:
    """Return the museum in which a unit stands on two other trucks, and what it weighs on them.

    The body keeps its truck centres and rests on both in proportion: R = W_b (1/2 ± e / L), shared evenly in a truck.

    Parameters
    ----------
    truck : row of donor_trucks.csv
    out : pint.Quantity
        What is taken out of the body before it rolls [lb].

    Returns
    -------
    tuple of (Museum, pint.Quantity or None)
        Its axles carry loads only where body, trucks, centre of gravity and truck centres are known.
    """
    weight, offset = museum.body(unit.vehicle).weight, body.offset_of_centre(museum, unit)
    if museum.trucks(unit.vehicle) != 2 or None in (unit.length, unit.truck_centres):
        blind = tuple(axle.model_copy(update={"load": None}) for axle in museum.axles_of(unit.vehicle))
        return _with_axles(museum, unit, blind), None
    middle, half = unit.length.m_as("ft") / 2, unit.truck_centres.m_as("ft") / 2
    places = (np.arange(truck.axles) - (truck.axles - 1) / 2) * truck.axle_spacing.m_as("ft")
    positions = np.concatenate([middle - half + places, middle + half + places])
    loads: list[Any] = [None] * len(positions)
    load = None
    if None not in (weight, truck.weight) and weight > out:
        load = weight - out + 2 * truck.weight
        if offset is not None and abs(offset.m_as("ft")) < half:
            of_body = axle_load.two_truck_axle_loads(weight - out, unit.truck_centres, offset, truck.axles)
            loads = list(of_body + truck.weight / truck.axles)
    own = {"vehicle": unit.vehicle, "role": "truck", "basis": truck.basis, "source": truck.source}
    rows = (
        Axle.model_construct(axle=number, position=Quantity(float(place), "ft"), load=each, **own)
        for number, (place, each) in enumerate(zip(positions, loads, strict=True), start=1)
    )
    return _with_axles(museum, unit, tuple(rows)), load


def _with_axles(museum: Museum, unit: Any, axles: tuple[Axle, ...]) -> Museum:
    others = tuple(row for row in museum.axles if row.vehicle != unit.vehicle)
    return museum.with_rows(axles=(*axles, *others))
