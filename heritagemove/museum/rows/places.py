from heritagemove.files.cells import Identifier, OptionalIdentifier, OptionalReference, OptionalText, Text, choice, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Place(Row, read_by="gates"):
    """One place where units stand, are lifted, wait or end; a blank measure is unknown."""

    place: Identifier = column("id of the place", key=True)
    title: Text = column("what it is called")
    kind: choice("site", "transfer", "storage", "museum") = column(
        "site: where units stand today; transfer: where they change carrier; storage: where they wait; museum: the end"
    )
    owner: Text = column("who owns it", read_by="screens")
    soil: OptionalIdentifier = column("ground under cranes and transporters, as a limit bearing_GROUND names it")
    bearing: quantity("psf", blank=True, above=0) = column("what a ground engineer allows; blank: presumed from the soil")
    pad_area: quantity("ft2", blank=True, above=0) = column("area of the pad or mats under one outrigger float")
    pad_material: OptionalText = column("what the pad or mats are made of")
    radius: quantity("ft", blank=True, above=0) = column("largest distance from the crane's centre of rotation to its hook")
    headroom: quantity("ft", blank=True, above=0) = column("height of the hook above the lift points")
    obstruction: quantity("ft", blank=True, above=0) = column(
        "distance from the crane's centre of rotation to the nearest thing that its tail could strike"
    )
    power_line_voltage: quantity("kV", blank=True, above=0) = column("voltage of the nearest power line")
    power_line_distance: quantity("ft", blank=True) = column("closest that crane, load or rigging could come to that line")
    power_lines_cleared: choice("yes", "no", "not_needed", blank=True) = column(
        "yes: the utility has the line lifted, moved, or dead and grounded; not_needed: no line within reach"
    )
    crane_access: choice("yes", "no", blank=True) = column("whether cranes get in, and their pad and swing are clear")
    services_located: choice("yes", "no", blank=True) = column(
        "whether buried drains, pipes and cables are located and marked (one-call)"
    )
    track_length: quantity("ft", blank=True) = column("clear track there", read_by="screens")
    storage_rate: OptionalReference = column("rate of rates.csv that storage there costs", refers_to="rates.rate")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
