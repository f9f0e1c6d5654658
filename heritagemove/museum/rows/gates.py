from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Date,
    Identifier,
    Identifiers,
    OptionalDate,
    OptionalProbability,
    OptionalReference,
    OptionalText,
    Reference,
    Text,
    choice,
    choices,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, PROVENANCE, SOURCE, STAGE, STARTER, Basis, YesOrBlank
from heritagemove.museum.rows.readiness import SUBJECTS
from heritagemove.museum.rows.survey import FACTS

#: Engineering checks a gate may name; heritagemove.checks runs them (a test keeps the two equal).
CHECKS = (
    "brake_holding", "brake_test", "cargo_securement", "centre_of_gravity", "coupler_height", "crane", "crane_access",
    "crawl", "curve", "flat_car_clearance", "flat_car_load", "freight_car_age", "gross_rail_load", "haul_pull",
    "height_clearance",
    "journal_rating", "legal_weight", "outrigger_ground", "outside_boxes", "plain_bearings", "plate", "posted_bridge",
    "power_line", "rail_bridge", "rail_securement", "road_bridge", "road_height", "roll_on_payload", "season",
    "services_located", "shift_capacity", "shift_ground", "side_clearance", "sling_angle", "starting_pull",
    "tipping", "track_axle_limit", "trailer_axle_load", "trailer_payload", "transporter_ground", "turn", "winch_pull",
    "wind", "yard_only",
)  # fmt: skip


class Gate(Row, read_by="gates, costs and dates"):
    """One condition of a path."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    gate: Identifier = column("id of the gate within the path", key=True)
    title: Text = column("the condition")
    kind: choice("hard_stop", "caution") = column("hard_stop: the path ends here if it is not met")
    needs: OptionalReference = column("driver that must be above zero for the gate to apply", refers_to="drivers")
    check: choice(*CHECKS, blank=True) = column("engineering check behind it")
    rests_on: choices("bearing", "bearing_type", *SUBJECTS) = column(
        "groups of readiness.csv that must be right; bearing_type: what the boxes hold, as likely as the clues make it; "
        "bearing: unknown while clues dispute the type"
    )
    fact: Identifiers = column(
        "facts of survey.csv behind it, with ; between them: each must be met",
        refers_to=("survey.clue", "clues.clue", "readiness.clue"),
        also=tuple(FACTS),
    )
    allowed: OptionalText = column("findings that meet it, with ; between them")
    task: OptionalReference = column(
        "task whose finish settles it; beside a check: what the check leaves open; beside a fact or rests_on: that mends it",
        refers_to="tasks.task",
        same="path",
    )
    refusal_probability: OptionalProbability = column(
        "probability that it is refused there; beside a check: where the check leaves it open"
    )
    rule: Text = column("rule or policy behind it", read_by="screens")
    evidence: Text = column("paper that proves it", read_by="screens")
    signer: Text = column("role that signs")
    expires: OptionalDate = column("date on which the evidence in hand expires")
    as_of: Date = column("date of the rule's edition, or the day it was read where it has none", read_by=PROVENANCE)
    stage: OptionalReference = STAGE
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER

    @model_validator(mode="after")
    def _stands_on_something(self) -> Any:
        if not (self.check or self.fact or self.rests_on or self.task):
            raise ValueError("check: a check, a fact, a group of readiness.csv or a task that settles the gate")
        if self.fact and not self.allowed:
            raise ValueError("allowed: the findings that meet the gate")
        if self.task and self.refusal_probability is None:
            raise ValueError("refusal_probability: a probability from 0 to 1, since a task settles the gate")
        return self
