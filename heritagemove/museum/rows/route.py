"""What the unit travels over and on: route legs, bridges, cranes, towing engines, flat cars, trailers."""

from __future__ import annotations

import itertools
from typing import Any

from pydantic import Field, model_validator

from heritagemove.files.tables import (
    Count,
    Identifier,
    OptionalIdentifier,
    OptionalNonNegative,
    OptionalText,
    Row,
    Text,
    YesNo,
    choice,
    quantity,
)
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis, Positions


class Coupled(Row):
    """A row whose axles stand between its couplers."""

    @model_validator(mode="after")
    def _axles_between_couplers(self) -> Any:
        places, length = self.axle_positions, self.length.m_as("ft")
        if places[0] < 0 or places[-1] > length or any(b <= a for a, b in itertools.pairwise(places)):
            raise ValueError(f"axle_positions: positions that rise from 0 to the length over couplers, {length:g} ft")
        return self


class Segment(Row):
    """One leg of a rail or road route; a blank limit is unknown, not zero."""

    segment: Identifier = Field(description="id of the leg")
    mode: choice("rail", "road") = Field(description="rail or road")
    order: Count = Field(description="order from site to museum")
    name: Text = Field(description="name")
    owner: choice("site", "short_line", "class_one", "museum", "town", "county", "state") = Field(description="owner")
    carrier: OptionalIdentifier = Field(description="railroad that moves the unit over it")
    length: quantity("mile") = Field(description="length")
    speed: quantity("mph", blank=True) = Field(description="ordinary speed")
    special_speed: quantity("mph", blank=True) = Field(description="speed of this move")
    track_class: OptionalText = Field(description="federal track class, or excepted")
    curve: quantity("degree", blank=True) = Field(description="sharpest curve, degrees of a 100-ft chord")
    grade: quantity("percent", blank=True) = Field(description="steepest grade")
    gross_limit: quantity("lb", blank=True) = Field(description="gross rail load limit of a four-axle car")
    axle_limit: quantity("lb", blank=True) = Field(description="limit of one axle")
    clear_height: quantity("ft", blank=True) = Field(description="lowest fixed structure above rail or road")
    clear_half_width: quantity("ft", blank=True) = Field(description="clear width from the track's centre line")
    wires: Count = Field(description="wires over the road")
    lowest_wire: quantity("ft", blank=True) = Field(description="height of the lowest wire")
    turn_radius: quantity("ft", blank=True) = Field(description="radius of the sharpest turn")
    width_limit: quantity("ft", blank=True) = Field(description="clear width at the tightest place")
    detour_for: OptionalIdentifier = Field(description="road bridge that a load avoids by adding this leg")
    policy: Text = Field(description="owner's policy, season and hours")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Bridge(Row):
    """One structure on a leg."""

    bridge: Identifier = Field(description="id of the bridge")
    segment: Identifier = Field(description="leg it stands on")
    title: Text = Field(description="what it is")
    span: quantity("ft", blank=True) = Field(description="simple span")
    rating: choice("cooper_e", "hs20_factor") = Field(description="what the ratings count")
    normal: OptionalNonNegative = Field(description="normal (inventory) rating")
    maximum: OptionalNonNegative = Field(description="maximum (operating) rating")
    posted_limit: quantity("short_ton", blank=True) = Field(description="posted weight limit")
    note: OptionalText = Field(description="condition and inspection")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Crane(Row):
    """One point of one crane's load chart."""

    crane: Identifier = Field(description="id of the crane class")
    title: Text = Field(description="what it is")
    radius: quantity("ft") = Field(description="radius of the lift")
    capacity: quantity("short_ton") = Field(description="rated capacity at that radius")
    outrigger_base: quantity("ft") = Field(description="outrigger base")
    crane_weight: quantity("short_ton") = Field(description="weight of the crane as it lifts")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Engine(Coupled):
    """One towing engine; the first row is the one that is planned with."""

    engine: Identifier = Field(description="id of the engine type")
    title: Text = Field(description="what it is")
    weight: quantity("lb") = Field(description="weight in working order, shared alike by its axles")
    length: quantity("ft") = Field(description="length over couplers")
    axle_positions: Positions = Field(description="axles, feet from the front coupler face")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class FlatCar(Coupled):
    """One carrying car."""

    flat_car: Identifier = Field(description="id of the car type")
    title: Text = Field(description="what it is")
    special: YesNo = Field(description="whether it must be ordered in and positioned empty")
    light_weight: quantity("lb") = Field(description="weight of the empty car")
    load_limit: quantity("lb") = Field(description="load limit as stencilled")
    deck_height: quantity("ft") = Field(description="deck above the rail")
    deck_length: quantity("ft") = Field(description="usable deck")
    length: quantity("ft") = Field(description="length over couplers")
    truck_centres: quantity("ft") = Field(description="distance between truck centres")
    axle_positions: Positions = Field(description="axles, feet from the front coupler face")
    sharpest_curve: quantity("degree") = Field(description="sharpest curve it may take loaded")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Trailer(Row):
    """One trailer or transporter."""

    trailer: Identifier = Field(description="id of the trailer type")
    title: Text = Field(description="what it is")
    used_for: choice("trailer", "transporter", "roll_on_trailer", "truck_load") = Field(description="paths that use it")
    tare: quantity("lb") = Field(description="weight empty, with tractors")
    payload: quantity("lb") = Field(description="greatest payload")
    axle_limit: quantity("lb") = Field(description="greatest axle load")
    axle_positions: Positions = Field(description="axles, feet from the first")
    lanes: Count = Field(description="lanes that its wheels load")
    width: quantity("ft") = Field(description="width")
    deck_height: quantity("ft") = Field(description="deck above the road")
    wheelbase: quantity("ft") = Field(description="effective wheelbase in a turn, steering counted")
    turn_radius: quantity("ft") = Field(description="smallest radius it can take")
    miles_per_day: quantity("mile") = Field(description="distance it makes in one permitted day")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
