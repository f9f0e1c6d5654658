"""The unit that could be moved: the vehicle, its axles, what the survey found."""

from __future__ import annotations

from pydantic import Field

from heritagemove.files.tables import (
    Count,
    Date,
    Identifier,
    OptionalFileName,
    Row,
    Text,
    Year,
    YesNo,
    choice,
    quantity,
)
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis, JournalSize


class Vehicle(Row):
    """One unit that could be moved."""

    vehicle: Identifier = Field(description="id of the unit")
    name: Text = Field(description="name as people know it")
    kind: choice("steam_locomotive", "diesel_locomotive", "passenger_car", "freight_car", "caboose") = Field(
        description="what it is; a caboose is judged as a freight car where rules differ"
    )
    built: Year = Field(description="year of construction")
    weight: quantity("lb", blank=True) = Field(description="weight as it stands")
    weight_tolerance: quantity("percent") = Field(description="how far the weight may be off, plus or minus")
    length: quantity("ft", blank=True) = Field(description="length over couplers or pulling faces")
    width: quantity("ft", blank=True) = Field(description="greatest width")
    height: quantity("ft", blank=True) = Field(description="greatest height above the top of the rail")
    underside: quantity("ft", blank=True) = Field(description="height of the body's underside above the rail")
    truck_centres: quantity("ft", blank=True) = Field(description="distance between truck centres; engines: rigid base")
    rigid_wheelbase: quantity("ft", blank=True) = Field(description="longest wheelbase that cannot turn")
    sharpest_curve: quantity("degree", blank=True) = Field(description="sharpest curve it may take on its own wheels")
    trucks: Count = Field(description="number of trucks that can be taken out")
    truck_weight: quantity("lb", blank=True) = Field(description="weight of one truck")
    body_weight: quantity("lb", blank=True) = Field(description="weight of the heaviest single road or crane load")
    body_length: quantity("ft", blank=True) = Field(description="length of the heaviest single road or crane load")
    lift_spread: quantity("ft", blank=True) = Field(description="distance between the two lift points")
    lifts: Count = Field(description="main lifts at each site")
    body_loads: Count = Field(description="road loads that need the heavy trailer")
    truck_loads: Count = Field(description="further road loads: trucks, tender, parts")
    motors: Count = Field(description="traction motors")
    motor_weight: quantity("lb", blank=True) = Field(description="weight of one motor")
    fluids_weight: quantity("lb", blank=True) = Field(description="fuel, oil, water and batteries that can be taken out")
    journal: JournalSize = Field(description="size of the outside journals, diameter x length in inches")
    journal_position: choice("outside", "inside", "mixed") = Field(
        description="where the boxes sit; mixed: inside driving boxes with outside boxes elsewhere"
    )
    bearing: choice("plain", "roller", "converted_roller", "unknown") = Field(
        description="bearing type; converted_roller is a roller bearing in a converted plain-bearing box"
    )
    centre_of_gravity_height: quantity("ft", blank=True) = Field(description="height of the centre of gravity")
    centre_of_gravity_offset: quantity("ft", blank=True, least=-100) = Field(
        description="centre of gravity ahead of the middle (toward the front is positive)"
    )
    wheel_diameter: quantity("in", blank=True) = Field(description="wheel diameter (drivers, for an engine)")
    coupler_height: quantity("in", blank=True) = Field(description="coupler centre line above the rail")
    insured_value: quantity("money") = Field(description="agreed value for insurance and for loss")
    significance: Count = Field(description="significance to the collection, 1 to 5 points")
    must_run: YesNo = Field(description="whether it must be able to run again")
    brakes: Text = Field(description="state of the brakes")
    draft_gear: Text = Field(description="state of couplers and draft gear")
    hazards: Text = Field(description="known or suspected hazards")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Axle(Row):
    """One axle of one unit."""

    vehicle: Identifier = Field(description="id of the unit")
    axle: Count = Field(description="number from the front")
    position: quantity("ft") = Field(description="distance behind the front pulling face")
    load: quantity("lb", blank=True) = Field(description="load on this axle as the unit stands")
    role: choice("truck", "engine_truck", "driver", "trailing_truck", "tender") = Field(description="what it carries")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Observation(Row):
    """One thing seen, measured or confirmed."""

    vehicle: Identifier = Field(description="id of the unit, or any for a fact of the site")
    place: Text = Field(description="where: vehicle, site, or a journal box such as 1L")
    clue: Identifier = Field(description="what was looked for")
    found: Text = Field(description="what was found: yes, no, or a word the gate names")
    photo: OptionalFileName = Field(description="file name of the photograph")
    observed: Date = Field(description="date")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
