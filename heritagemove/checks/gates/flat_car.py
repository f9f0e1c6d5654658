"""Which flat car takes the body: load limit, concentrated load, deck, height and side, car by car.

Screening only. The car owner's diagram, the clearance bureau and the railroad's load engineer decide.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check, judge, unknown
from heritagemove.checks.gates import body
from heritagemove.checks.gates.lookup import last, limit, over_rail, worst
from heritagemove.checks.rail import clearance, load_placement
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity, show


@dataclass(frozen=True)
class Choice:
    """The flat car for one body."""

    car: Any  # none where no car of the table takes it
    priced: Any  # the car that is priced: the one chosen, or the largest; none where none is tabled
    notes: tuple[str, ...]  # which car was chosen, and why each one before it falls out


def clearing(museum: Museum, unit: Any) -> Mapping[str, str | None]:
    """Return what stops each flat car under a body on the route, however heavy the body is; None where nothing does."""
    return {car.flat_car: _does_not_clear(museum, unit, car) for car in museum.flat_cars}


def choose_flat_car(museum: Museum, unit: Any, cleared: Mapping[str, str | None] | None = None) -> Choice:
    """Choose the first flat car whose load limit, deck and clearances take the body.

    A car that only a clearance stops is taken, and its gate says so, where no other car passes.

    Parameters
    ----------
    cleared : mapping of str to str or None, optional
        What :func:`clearing` returns, where it is known already.
    """
    cars, load = museum.flat_cars, museum.body(unit.vehicle).weight
    if load is None or not cars:
        return Choice(None, last(cars), ())
    out: dict[str, str] = {}
    bears: list[Any] = []
    for car in cars:
        reason = _too_heavy_or_long(museum, unit, car)
        if reason is None:
            bears.append(car)
            reason = _does_not_clear(museum, unit, car) if cleared is None else cleared[car.flat_car]
        if reason is None:
            return Choice(car, car, _note(car, out))
        out[car.title] = reason
    if bears:
        only = f"Flat car: none clears the route; reckoned with {bears[0].title}."
        return Choice(bears[0], bears[0], (f"{only} {_listed(out)}",))
    return Choice(None, cars[-1], (f"Flat car: none takes it. {_listed(out)}",))


def _note(car: Any, out: dict[str, str]) -> tuple[str, ...]:
    return (f"Flat car chosen: {car.title}. {_listed(out)}",) if out else ()


def _listed(out: dict[str, str]) -> str:
    return "Out: " + "; ".join(f"{title} ({reason})" for title, reason in out.items()) + "."


def _too_heavy_or_long(museum: Museum, unit: Any, car: Any) -> str | None:
    check = load_check(museum, unit, car)
    if check.status == "fail":
        return f"{show(check.demand, 'lb')} over {show(check.capacity, 'lb')}"
    # A body of unknown length is not held back here; its side clearance is unknown then.
    length = museum.body(unit.vehicle).length
    if length is not None and length > car.deck_length:
        return f"{show(length, 'ft', 1)} long on a deck of {show(car.deck_length, 'ft', 1)}"
    return None


def _does_not_clear(museum: Museum, unit: Any, car: Any) -> str | None:
    """Say what stops the loaded car: its curve, its height or its side on some leg of the route."""
    curve = curve_check(museum, car)
    for check in (curve, height_check(museum, height_on(museum, unit, car)), side_check(museum, unit, car)):
        if check.status == "fail":
            where = check.subject
            if check is curve:
                return f"curve of {check.demand.m_as('degree'):.0f}° on {where}"
            word = "high" if check.margin_of == "height" else "wide"
            return f"{-check.margin.m_as('in'):.0f} in too {word} on {where}"
    return None


def height_on(museum: Museum, unit: Any, car: Any) -> pint.Quantity | None:
    """Return the loaded height above the rail [ft]; None where height, underside or blocking is unknown.

    On its wheels the body stands as high as in the unit; the blocking is then what the wheels stand on.
    """
    height, blocking = body.body_height(museum, unit), limit(museum, "flat_car_blocking", "in")
    if None in (height, blocking):
        return None
    return clearance.loaded_height(height, Quantity(0, "ft"), car.deck_height, blocking, Quantity(0, "in"))


def height_check(museum: Museum, loaded_height: pint.Quantity | None) -> Check:
    """Check a height above the rail on every leg of the rail route."""
    if loaded_height is None:
        return unknown("Height", "load", "measure height and underside, and enter the blocking on the deck")
    needed = limit(museum, "vertical_clearance", "in")
    if needed is None:
        return unknown("Height", "limits.csv", "enter the vertical clearance the railroad asks for")
    shown = partial(show_measure, system=museum.scenario.units)
    return over_rail(
        museum,
        "clear_height",
        "Height",
        lambda leg: clearance.height(loaded_height, leg.clear_height, needed, leg.name, shown),
    )


def curve_check(museum: Museum, car: Any) -> Check:
    """Check the sharpest curve of every leg against what the car may take."""
    return over_rail(
        museum, "curve", "Curve", lambda leg: clearance.curve_limit(leg.curve, car.sharpest_curve, leg.name)
    )


def side_check(museum: Museum, unit: Any, car: Any) -> Check:
    """Check half the body's width plus its throw on the car's own truck centres, on every leg."""
    return side_on(museum, unit.name, body.body_width(museum, unit), car.truck_centres, museum.body(unit.vehicle).length)


def side_on(
    museum: Museum, name: str, width: pint.Quantity | None, centres: pint.Quantity | None, length: pint.Quantity | None
) -> Check:
    """Check half the width, the larger throw and the tolerance kept against the clear half width of every leg."""
    if width is None or length is None or centres is None:
        return unknown("Side clearance", name, "measure width, length and truck centres")
    tolerance = limit(museum, "side_tolerance", "in")
    if tolerance is None:
        return unknown("Side clearance", name, "enter the tolerance that the railroad keeps on the side")
    longest, shown = max(length, centres), partial(show_measure, system=museum.scenario.units)

    def side(leg: Any) -> Check:
        if leg.curve is None:
            return unknown("Side clearance", leg.name, f"ask the railroad for the sharpest curve of {leg.name}")
        return clearance.side(
            width, centres, longest, leg.curve, leg.clear_half_width, leg.name, shown, tolerance
        )

    return over_rail(museum, "clear_half_width", "Side clearance", side)


def load_check(museum: Museum, unit: Any, car: Any) -> Check:
    """Check the body against the car's load limit, and the part of it that a short or off-centre load may use.

    The body counts as bearing over its whole length. Where it would be too much on blocks at its lift points alone, or
    must stand off the middle of the car, that is a caution; where the published zones end, the load engineer decides.
    """
    piece, title = museum.body(unit.vehicle), car.title
    load = piece.weight
    whole = Check(
        "Flat car load", title, load, car.load_limit, judge(load, car.load_limit), car.load_limit - load, car.source,
        "The car owner's diagram and the railroad's load engineer decide.",
    )  # fmt: skip
    lengths, names = (10.0, 24.0), ("to_10_ft", "to_24_ft", "within_truck_centres", "beyond_truck_centres")
    shares = tuple(museum.limit(f"flat_car_share_{name}") for name in names)
    if whole.status == "fail" or piece.length is None or None in shares:
        return whole
    rows = Quantity(np.array(lengths), "ft"), shares
    spread_out = load_placement.load_concentration(load, car.load_limit, piece.length, car.truck_centres, *rows, title)
    if spread_out.status == "fail":
        return spread_out
    return _with_care(museum, unit, car, worst([whole, spread_out], "Flat car load", "weigh the body"), rows)


def _with_care(museum: Museum, unit: Any, car: Any, check: Check, rows: tuple[Any, Any]) -> Check:
    """Turn a pass into a caution, or leave it open, where the blocks or the centre of gravity ask for it."""
    asked, status, weight, offset = [], "marginal", museum.body(unit.vehicle).weight, body.offset_of_centre(museum, unit)
    if unit.lift_spread is not None and unit.lift_spread.magnitude > 0:
        blocks = load_placement.load_concentration(
            weight, car.load_limit, unit.lift_spread, car.truck_centres, *rows, car.title
        )
        if blocks.status == "fail":
            asked.append(f"on blocks {show(unit.lift_spread, 'ft', 1)} apart only {show(blocks.capacity, 'lb')} may stand")
    zones = tuple(museum.limit(f"flat_car_zone_at_{percent}_percent") for percent in (75, 87, 90))
    if None not in zones and offset is not None:
        place = load_placement.load_offset(
            weight, car.load_limit, offset, car.truck_centres, (0.75, 0.87, 0.90), zones
        )
        if place.status == "unknown":
            status = "open"
            asked.append("over 90 per cent of the limit the published zones for its centre of gravity end")
        elif place.status == "fail":
            asked.append(f"set its centre of gravity within {show(place.capacity, 'ft', 1)} of the car's middle")
    if not asked or check.status not in ("pass", "marginal"):
        return check
    note = f"{'; '.join(asked)[0].upper()}{'; '.join(asked)[1:]}. {check.note}"
    return replace(check, status=status, note=note)
