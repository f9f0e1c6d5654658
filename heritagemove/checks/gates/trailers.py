"""A trailer as its rows describe it, with a load on it: what it weighs, how high it is, what each axle carries."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import pint

from heritagemove.checks.check import Check, unknown
from heritagemove.checks.road import axle_statics
from heritagemove.checks.road.axle_statics import AxleGroup
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import System, show_measure


@dataclass(frozen=True)
class LoadedTrailer:
    """A trailer under a load."""

    row: Any  # of trailers.csv
    groups: tuple[AxleGroup, ...]  # its axles from the front; none where trailer_axles.csv has none
    load: pint.Quantity | None  # what the hauler is given to carry [lb]; None is unknown
    # centre of gravity of the load ahead of its own middle [ft]; None is unknown
    offset: pint.Quantity | None

    @cached_property
    def payload(self) -> pint.Quantity | None:
        """Load with the blocking, chains and spreader that ride with it [lb]; None is unknown."""
        return None if None in (self.load, self.row.blocking_weight) else self.load + self.row.blocking_weight

    @cached_property
    def gross(self) -> pint.Quantity | None:
        """Truck, trailer, blocking and load [lb]; None is unknown."""
        return None if self.payload is None else self.payload + self.row.tare

    @cached_property
    def group_loads(self) -> pint.Quantity | None:
        """What each group of axles carries, shape (groups,) [lb]; None is unknown."""
        if self.wanted:
            return None
        return axle_statics.axle_loads(self.groups, self.payload, self.row.load_place - self.offset)

    @cached_property
    def axles(self) -> tuple[pint.Quantity, pint.Quantity] | None:
        """Place [ft] and load [lb] of each axle; None where one is unknown or would lift off."""
        if self.group_loads is None or self.group_loads.magnitude.min() <= 0:
            return None
        return axle_statics.layout(self.groups, self.group_loads)

    @property
    def wanted(self) -> str:
        """What to find out before its axle loads are known; blank where nothing."""
        title, missing = self.row.title, []
        if self.load is None:
            missing.append("weigh the load")
        if self.row.blocking_weight is None:
            missing.append(f"ask what blocking, chains and spreader on {title} weigh")
        if self.row.load_place is None:
            missing.append(f"ask where the load stands on {title}")
        if self.offset is None:
            missing.append("find the load's centre of gravity along its length")
        if not self.groups:
            missing.append(f"enter the axle groups of {title} in trailer_axles.csv")
        return "; ".join(missing)

    def own_axles(self, system: System = "US") -> Check:
        """Return the check of each axle against what the trailer's own row allows it, said in one system of units."""
        source = f"trailer_axles.csv, {self.row.title}"
        if self.wanted:
            return unknown("Trailer axle load", self.row.title, self.wanted, source)
        said = partial(show_measure, system=system)
        return axle_statics.own_axle_limits(self.groups, self.group_loads, self.row.title, source, said)


def loaded(museum: Museum, row: Any, load: pint.Quantity | None, offset: pint.Quantity | None) -> LoadedTrailer:
    """Return a trailer with its axles and a load.

    Parameters
    ----------
    museum : Museum
    row : row of trailers.csv
    load : pint.Quantity or None
        Weight of the load alone [lb].
    offset : pint.Quantity or None
        Its centre of gravity ahead of its middle [ft].
    """
    rows = [each for each in museum.trailer_axles if each.trailer == row.trailer]
    places, groups = iter(row.axle_positions), []
    for each in rows:
        own = tuple(itertools.islice(places, each.axles))
        hitch = None if each.hitch is None else each.hitch.m_as("ft")
        groups.append(AxleGroup(each.part, own, each.empty, each.axle_limit, hitch, each.share))
    return LoadedTrailer(row, tuple(groups), load, offset)


def height_on_trailer(museum: Museum, unit: Any, row: Any) -> pint.Quantity | None:
    """Return the height of a unit or its body on a trailer above the road [ft]; None where it is not known.

    On its wheels it stands with them on the deck, or on the rails in it; without them, or hung between the trailer's beams,
    its underside rests on the blocking.

    Parameters
    ----------
    museum : Museum
    unit : row of vehicles.csv
    row : row of trailers.csv
    """
    if row.used_for == "roll_on_trailer":
        tall = unit.height
    else:
        return piece_height(museum.body(unit.vehicle), row)
    return None if None in (tall, row.blocking_height) else tall + row.deck_height + row.blocking_height


def piece_height(piece: Any, row: Any) -> pint.Quantity | None:
    """Return the height of a piece on a trailer above the road [ft]; None where it is not known."""
    tall = piece.height
    if piece.wheels_on and row.between_beams:
        tall = None if None in (tall, piece.underside) else tall - piece.underside
    return None if None in (tall, row.blocking_height) else tall + row.deck_height + row.blocking_height
