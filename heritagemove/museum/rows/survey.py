from heritagemove.files.cells import Date, OptionalFileName, Reference, Text
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank

#: Facts that a gate or a check reads, beside the clues of a bearing and the items of readiness; each with the unit of
#: its finding where that is a measure.
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
    "tanks_and_reservoirs": "",
    "reporting_marks": "",
    "reflectors": "",
    "historic_designation": "",
    "salvage_rights": "",
}
#: The worst that may be found for a fact, where it is not no.
WORST = {
    "rods_and_valve_gear": "on",
    "tender_drawbar": "cracked",
    "driver_lateral": "over",
    "engine_truck_journals": "scored",
    "journal_size": "3-3/4 x 7",
    "asbestos": "yes",
    "lead_paint": "yes",
    "pcb": "yes",
    "tanks_and_reservoirs": "full",
    "historic_designation": "listed",
    "salvage_rights": "claimed",
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
    photo: OptionalFileName = column("photograph of it, a JPEG or PNG in the folder photos", read_by="screens")
    observed: Date = column("date")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
