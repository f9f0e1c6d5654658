from heritagemove.files.cells import (
    Count,
    Identifier,
    OptionalReference,
    OptionalText,
    Text,
    Year,
    YesNo,
    choice,
    quantity,
    whole,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, JournalSize, YesOrBlank

KINDS = ("steam_locomotive", "diesel_locomotive", "electric_locomotive", "passenger_car", "railcar", "streetcar",
         "freight_car", "caboose", "crane")  # fmt: skip
BEARINGS = ("plain", "roller", "converted_roller", "unknown")


class Vehicle(Row, read_by="gates, costs and dates"):
    """One unit that could be moved."""

    vehicle: Identifier = column("id of the unit", key=True)
    name: Text = column("name as people know it")
    kind: choice(*KINDS) = column("what it is; a caboose is judged as a freight car where rules differ")
    type: OptionalReference = column(
        "type in typical.csv whose ranges stand for what is unknown; blank, or where it has none: those of its kind",
        refers_to="typical.kind",
        default=None,
    )
    built: Year = column("year of construction")
    weight: quantity("lb", blank=True) = column("weight as it stands")
    weight_tolerance: quantity("percent") = column("how far the weight may be off, plus or minus")
    loads_differ: OptionalText = column(
        "why the axle loads do not add up to the weight within 2 %; blank: they do", default=None, read_by="check"
    )
    length: quantity("ft", blank=True) = column("length over couplers or pulling faces")
    width: quantity("ft", blank=True) = column("greatest width")
    height: quantity("ft", blank=True) = column("greatest height above the top of the rail")
    truck_centres: quantity("ft", blank=True) = column(
        "distance between truck centres; engines: rigid base", at_most="length"
    )
    rigid_wheelbase: quantity("ft", blank=True) = column(
        "longest wheelbase that cannot turn", at_most="length", read_by="screens"
    )
    sharpest_curve: quantity("degree", blank=True) = column("sharpest curve it may take on its own wheels")
    lift_spread: quantity("ft", blank=True) = column("distance between the two lift points", at_most="length")
    lifts: Count = column("main lifts at each site")
    two_cranes: choice("yes", "no", blank=True) = column(
        "yes: the trade lifts it with two cranes where one could, to keep it level; blank: no", default=None
    )
    motors: Count = column("traction motors")
    motor_weight: quantity("lb", blank=True) = column("weight of one motor", at_most="weight")
    fluids_weight: quantity("lb", blank=True) = column(
        "fuel, oil, water and batteries that can be taken out", at_most="weight"
    )
    journal: JournalSize = column("size of the outside journals, diameter x length in inches")
    journal_position: choice("outside", "inside", "mixed") = column(
        "where the boxes sit; mixed: inside driving boxes with outside boxes elsewhere"
    )
    bearing: choice(*BEARINGS) = column(
        "bearing type; converted_roller is a roller bearing in a converted plain-bearing box"
    )
    centre_of_gravity_height: quantity("ft", blank=True) = column("height of the centre of gravity", at_most="height")
    centre_of_gravity_offset: quantity("ft", blank=True, least=-100) = column(
        "centre of gravity ahead of the middle (toward the front is positive)"
    )
    wheel_diameter: quantity("in", blank=True, above=0) = column("wheel diameter (drivers, for an engine)")
    coupler_height: quantity("in", blank=True) = column("coupler centre line above the rail")
    insured_value: quantity("money") = column("agreed value for insurance and for loss")
    significance: whole(1, 5) = column("significance to the collection, 1 to 5 points")
    must_run: YesNo = column("whether it must be able to run again")
    brakes: Text = column("state of the brakes")
    draft_gear: Text = column("state of couplers and draft gear")
    hazards: Text = column("known or suspected hazards", read_by="screens")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
