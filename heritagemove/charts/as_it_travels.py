"""How a unit stands in one stage of a path: on what, how high and how wide, and which of it nobody has measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pint

from heritagemove.checks.check import Check
from heritagemove.checks.gates import body as bodies
from heritagemove.checks.gates.carriage import Carriage, arrange, axle_train
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import System
from heritagemove.units.words import without_brackets

#: What stands in for a measure that nobody has taken: the drawing needs one, shows it dashed and says so [ft].
_INSTEAD = {"height": 13.0, "width": 10.0, "length": 45.0, "underside": 3.5, "blocking": 1.0, "wheels": 2.75}
_ON = {"flat_car": "on the flat car", "trailer": "on the trailer", "transporter": "on the transporter",
       "roll_on_trailer": "on the rail-deck trailer", "other_wheels": "on other wheels", "shift": "shifted as it stands",
       "barge": "on the barge", "storage": "in storage"}  # fmt: skip
_WITHOUT_WHEELS = ("flat_car", "trailer", "transporter")
#: The checks of height and of side room, by what a stage runs over.
_OUTLINES = {"rail": ("height_clearance", "side_clearance"), "road": ("road_height", "turn")}


@dataclass(frozen=True)
class Standing:
    """A unit as it travels: heights above rail or road, lengths from the front [ft]."""

    carriage: Carriage
    carrier: Any  # row of the flat car or trailer under it; None where it rolls, or none is entered
    raised: float  # how high the rail is on which it would stand, above rail or road
    top: float
    underside: float
    width: float
    body: float  # length of its body
    whole: float  # length of all that travels as one
    wheel: float  # diameter of its own wheels
    wheels: bool  # whether it stands on its own wheels
    guessed: frozenset[str]  # what of it is not measured: height, width, length, underside, blocking, wheels
    stage: str  # title of the stage, where the path has several; else blank

    @property
    def system(self) -> System:
        """The units that the museum thinks in."""
        return self.carriage.museum.scenario.units

    @property
    def apart(self) -> bool:
        """Whether its body goes alone, without its trucks or its tender."""
        return self.carriage.carried_on in _WITHOUT_WHEELS

    @property
    def name(self) -> str:
        """Which unit it is, and on what."""
        on = _ON.get(self.carriage.carried_on, "on its own wheels")
        named = f"{without_brackets(self.carriage.vehicle.name)} {on}"
        return f"{self.stage}: {named}" if self.stage else named

    @property
    def begins(self) -> float:
        """Where its front stands, counted as the axles of its carrier are, or from itself."""
        carrier = self.carrier
        if carrier is None:
            return 0.0
        if hasattr(carrier, "deck_length"):
            return (carrier.length.m_as("ft") - self.whole) / 2
        places = carrier.axle_positions
        if carrier.load_place is not None:
            return carrier.load_place.m_as("ft") - self.whole / 2
        widest = int(np.argmax(np.diff(places)))
        return (places[widest] + places[widest + 1]) / 2 - self.whole / 2

    @property
    def deck_ends(self) -> tuple[float, float]:
        """Where its carrier begins and ends."""
        carrier = self.carrier
        if hasattr(carrier, "deck_length"):
            return 0.0, carrier.length.m_as("ft")
        over = [0.0 if end is None else end.m_as("ft") for end in (carrier.front_overhang, carrier.rear_overhang)]
        return carrier.axle_positions[0] - over[0], carrier.axle_positions[-1] + over[1]

    @property
    def ends(self) -> tuple[float, float]:
        """Where all that travels begins and ends."""
        first, last = self.begins, self.begins + self.whole
        if self.carrier is None:
            return first, last
        deck = self.deck_ends
        return min(first, deck[0]), max(last, deck[1])

    @property
    def between_beams(self) -> bool:
        """Whether it hangs between the beams of its trailer."""
        return bool(getattr(self.carrier, "between_beams", False))

    def outline(self) -> tuple[Check, Check] | None:
        """Return the checks of height and of side room on its route; None where it takes no route."""
        names = _OUTLINES.get(self.carriage.mode)
        return names and (CHECKS[names[0]](self.carriage), CHECKS[names[1]](self.carriage))

    def centre(self) -> tuple[float, float] | None:
        """Return how far ahead of its middle, and how high as it travels, its centre of gravity lies [ft]."""
        museum, unit, low = self.carriage.museum, self.carriage.vehicle, 0.0
        offset, height = unit.centre_of_gravity_offset, unit.centre_of_gravity_height
        if self.apart:
            offset, height = bodies.offset_of_centre(museum, unit), bodies.height_of_centre(museum, unit)
            low = _or_instead(self.carriage.body.resting, "underside")
        return None if None in (offset, height) else (offset.m_as("ft"), height.m_as("ft") - low + self.raised)

    def axles(self) -> tuple[np.ndarray, np.ndarray | None, bool]:
        """Return places [ft] and loads [lb] of the axles on rail or road, and whether they are its own; None is unknown."""
        carriage, carrier = self.carriage, self.carrier
        if carrier is None:
            positions, loads = axle_train(carriage.museum, carriage.vehicle, carriage.load)
            return positions.magnitude, None if loads is None else loads.m_as("lb"), True
        places = np.array(carrier.axle_positions)
        if hasattr(carrier, "deck_length"):
            if carriage.load is None:
                return places, None, False
            each = (carriage.load + carrier.light_weight).m_as("lb") / len(places)
            return places, np.full(len(places), each), False
        found = None if carriage.loaded is None else carriage.loaded.axles
        return places, None if found is None else found[1].m_as("lb"), False


def stands(museum: Museum, vehicle: str, path: str, stage: str | None = None) -> Standing:
    """Return how a unit stands in a stage of a path, with something drawn in place of what nobody has measured.

    Parameters
    ----------
    vehicle, path : str
        Ids.
    stage : str, optional
        Id of a stage; the one in which the path goes the farthest when left out.
    """
    carriage = arrange(museum, vehicle, path, stage or _farthest(museum, path))
    unit, piece, on = carriage.vehicle, carriage.body, carriage.carried_on
    apart, named = on in _WITHOUT_WHEELS, carriage.stage.title if len(museum.stages_of(path)) > 1 else ""
    carriers = [row for row in museum.flat_cars if row.flat_car in carriage.equipment]
    carriers += [row for row in museum.trailers if row.trailer in carriage.equipment]
    carrier = carriers[0] if carriers else None
    measures = {
        "height": piece.height if apart else unit.height,
        "width": unit.width,
        "length": piece.length if apart else unit.length,
        "underside": piece.underside,
        "wheels": unit.wheel_diameter,
    }
    if carrier is not None:
        flat = hasattr(carrier, "deck_length")
        measures["blocking"] = museum.limit_quantity("flat_car_blocking", "in") if flat else carrier.blocking_height
    guessed = frozenset(name for name, found in measures.items() if found is None)
    taken = {name: _or_instead(found, name) for name, found in measures.items()}
    wheels, raised = piece.wheels_on or not apart, 0.0
    if carrier is not None:
        raised = carrier.deck_height.m_as("ft") + taken["blocking"]
        raised -= taken["underside"] if getattr(carrier, "between_beams", False) and piece.wheels_on else 0.0
    underside = raised + (taken["underside"] if wheels else 0.0)
    length = taken["length"] if piece.length is None else min(piece.length.m_as("ft"), taken["length"])
    return Standing(
        carriage, carrier, raised, raised + taken["height"], underside, taken["width"], length, taken["length"],
        taken["wheels"], wheels, guessed, named,
    )  # fmt: skip


def _or_instead(found: pint.Quantity | None, name: str) -> float:
    return _INSTEAD[name] if found is None else found.m_as("ft")


def _farthest(museum: Museum, path: str) -> str | None:
    """Return the stage in which a path goes the farthest; None where it goes nowhere."""
    stages = museum.stages_of(path)
    miles = {row.stage: sum(leg.length.m_as("mile") for leg in museum.legs_of(row)) for row in stages}
    return max(miles, key=lambda stage: miles[stage], default=None)
