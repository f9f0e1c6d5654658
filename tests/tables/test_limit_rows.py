"""Every limit: dated, and either read by a check or stated here as shown only, with the reason."""

import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.survey.readiness import readiness

#: Beginning of the id -> why no check compares with it. Planners read these rows in the table.
SHOWN_ONLY = {
    "optimism_bias_": "no limit of a check: the outside view beside the estimate",
    "chain_grade_": "the table of 49 CFR 393.108: one grade of it is the hauler's",
    "rail_restraint_": "published factors, to compare the railroad's drawing (rail_drawing_*) with",
    "impact_test_speed": "asked of the railroad's drawing",
    "dimensional_": "the clearance bureau asks for a clearance above these; every rail path here asks anyway",
    "transfer_test_": "read off the gauge by the qualified person",
    "class_one_": "read off the gauge by the qualified person",
    "brake_": "read off the gauge by the qualified person",
    "single_car_test_age": "the single-car test is a task",
    "track_class_": "freight speeds of all classes are looked up; passenger speeds are shown beside them",
    "sling_legs_credited": "the lift is reckoned with two slings to each end",
    "power_line_crane_travelling": "a crane travels empty under its own plan",
    "tie_down_heavy_weight": "every unit of a railway museum is heavier",
    "flat_deck_height_worst": "for a car that nobody has chosen yet; the cars here have a deck height",
    "side_tolerance": "the tolerance of the overhang tables; the clear half width is measured",
    "freight_car_age_petition": "the lead time of a task",
    "plain_bearing_axle_load": "history of the interchange rule",
    "side_bearing_clearance": "measured in the yard by the carman",
    "legal_width": "every load here is over it and has a permit in its price",
    "divisible_hours": "the hauler answers for it in the permit",
    "transporter_line_payload": "the rating behind transporter_line_working",
}
#: Soils of which the demo's site has only one.
SOILS = "bearing_"


class Watched:
    """A limit row that notes when its value is read."""

    def __init__(self, row, read):
        self.row, self.read = row, read

    def __getattr__(self, name):
        if name == "value":
            self.read.add(self.row.limit)
        return getattr(self.row, name)


@pytest.fixture(scope="module")
def asked(museum):
    """Ids whose value a check or the readiness list reads, over every unit and path of the demo."""
    read = set()
    watched = museum.with_changes(limits=[Watched(row, read) for row in museum.limits])
    for unit in watched.vehicles:
        readiness(watched, unit.vehicle)
        for path in watched.paths:
            screen(watched, unit.vehicle, path.path)
    return read


def test_every_limit_has_a_date_and_somebody_who_confirms_it(museum):
    assert [row.limit for row in museum.limits if row.as_of is None or not row.confirm_with.strip()] == []


def test_no_limit_is_dated_after_the_day_the_tables_were_made(museum):
    assert [row.limit for row in museum.limits if row.as_of > museum.scenario.as_of] == []


def test_every_limit_is_read_by_a_check_or_stated_as_shown_only(museum, asked):
    known = (*SHOWN_ONLY, SOILS)
    assert [row.limit for row in museum.limits if row.limit not in asked and not row.limit.startswith(known)] == []


def test_no_reason_is_left_over_for_a_limit_that_is_gone_or_read(museum, asked):
    unread = [row.limit for row in museum.limits if row.limit not in asked]
    assert [name for name in SHOWN_ONLY if not any(limit.startswith(name) for limit in unread)] == []
