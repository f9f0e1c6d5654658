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

#: Groups of what must be right; a gate names those that it rests on.
SUBJECTS = (
    "plain_bearing", "roller_bearing", "acceptance", "wheel", "brake", "draft_gear", "safety_appliance", "restricted", "age",
)  # fmt: skip


class Readiness(Row, read_by="gates"):
    """One thing that must be right before a unit moves on its own wheels."""

    item: Identifier = column("id of the item", key=True)
    subject: choice(*SUBJECTS) = column("group, as gates name it; restricted: with a part that needs approval")
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
    mended_by: OptionalReference = column(
        "driver that counts what is found bad, for its repair: boxes where every box is looked at, axles of a wheel, else 1",
        refers_to="drivers",
    )
    worst: OptionalIdentifier = column("the worst that a survey may find; blank where a measure answers", read_by=PROVENANCE)
