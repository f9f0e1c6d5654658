from heritagemove.files.cells import (
    Identifier,
    Identifiers,
    OptionalDate,
    OptionalIdentifier,
    OptionalReference,
    Text,
    YesNo,
    choice,
    choices,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE, Strength
from heritagemove.museum.rows.vehicles import BEARINGS, KINDS


class Readiness(Row, read_by="gates"):
    """One thing that must be right before a unit moves on its own wheels."""

    item: Identifier = column("id of the item", key=True)
    subject: choice("bearing", "wheel", "brake", "draft_gear", "safety_appliance", "age") = column("group")
    title: Text = column("what must be so")
    kinds: choices(*KINDS) = column("kinds of unit it applies to; blank: every kind")
    bearings: choices(*BEARINGS) = column("bearing types it applies to; blank: every type")
    clue: OptionalIdentifier = column("clue of survey.csv that answers it, or blank where a measure does")
    good: Identifiers = column("what the survey must have found")
    each_box: YesNo = column("whether every journal box must be looked at")
    measure: OptionalIdentifier = column("column of vehicles.csv that is compared, or age [year]")
    least: OptionalReference = column("limit that it must reach", refers_to="limits.limit")
    most: OptionalReference = column("limit that it must stay under", refers_to="limits.limit")
    otherwise: choice("defect", "caution") = column("what it is when it is not so")
    defect: Text = column("what counts against it")
    rule: Text = column("the rule")
    strength: Strength = column("as in limits.csv", read_by=PROVENANCE)
    as_of: OptionalDate = column("date of the text", read_by=PROVENANCE)
    signs: Text = column("who decides and signs")
    gates: Identifiers = column("gates of gates.csv that rest on it")
