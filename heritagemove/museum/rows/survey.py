from heritagemove.files.cells import Date, OptionalFileName, Reference, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis

#: Facts that a check, a driver or the page reads, or that stand to be seen, beside the clues of a bearing, the items
#: of readiness and what a gate asks; each with the unit of its finding where that is a measure.
FACTS = {
    "rail_connection": "",
    "lead_ties_walked": "",
    "route_walked": "",
    "receiving_track_ready": "",
    "owner_access_letter": "",
    "centre_plate_fit": "",
    "rods_and_valve_gear": "",
    "tender_drawbar": "",
    "driver_lateral": "",
    "engine_truck_journals": "",
    "brake_complete": "",
    "train_line_holds": "",
    "journal_size": "",
    "asbestos": "",
    "lead_paint": "",
    "pcb": "",
}


class Observation(Row, read_by="gates"):
    """One thing seen, measured or confirmed."""

    vehicle: Reference = column(
        "id of the unit, or any for a fact of the site", key=True, refers_to="vehicles.vehicle", also=("any",)
    )
    place: Text = column("where: vehicle, site, or a journal box such as 1L", key=True)
    clue: Reference = column(
        "what was looked for",
        key=True,
        refers_to=("clues.clue", "readiness.clue", "gates.fact"),
        also=tuple(FACTS),
    )
    found: Text = column("what was found: yes, no, or a word the gate names")
    photo: OptionalFileName = column("file name of the photograph", read_by="screens")
    observed: Date = column("date")
    basis: Basis = BASIS
    source: Text = SOURCE
