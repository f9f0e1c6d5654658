"""A museum to begin with: whatever is answered first it loads, says nothing that nobody knows, and holds no local name."""

import itertools

import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.first_steps import checked
from heritagemove.editing.kinds_of_unit import KINDS_OF_UNIT
from heritagemove.editing.starter import StartingPoint, left_out, starter, starter_museum
from heritagemove.editing.starting_point import STANDS
from heritagemove.editing.writing import typed
from heritagemove.museum.museum import shipped
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

#: Gates that pass by the first answers themselves, or ask nothing of such a unit.
_ANSWERED = {"rail_connection", "outside_boxes", "restricted_parts", "lift_director", "recorded", "yard_only"}
_EVERY = [
    StartingPoint(rules, kind, stands, joined, by_road=road, seasons=seasons)
    for rules, kind, stands, joined, road, seasons in itertools.product(
        ("usa", "melderbach"), KINDS_OF_UNIT, STANDS, (True, False), ("8 mile", "80 mile"), (True, False)
    )
]
#: Words in the demo's ids that a place anywhere may have.
_ANYWHERE = {
    *("and", "lane", "trestle", "or", "museum", "spur", "line", "siding", "lead", "yard", "road", "state", "us", "gate"),
    *("bridge", "floor", "beams", "route", "girder", "northern", "detour", "county", "industrial", "fork", "14", "31"),
}
#: Each kind once, so that each other answer comes with several kinds.
_SOME = [_EVERY[(number * 48 + number * 29 % 48) % len(_EVERY)] for number in range(len(KINDS_OF_UNIT))]


@pytest.fixture(scope="module")
def demos():
    return {"usa": typed(shipped("tamber_river")), "melderbach": typed(shipped("elsewhere/melderbach"))}


def _holds(museum, point):
    """Nothing passes and nothing fails that nobody has looked at, and some path saves the unit."""
    assert any(path.saves for path in museum.paths)
    for path in museum.paths:
        findings = screen(museum, "our_unit", path.path).findings
        asked = [f for f in findings if f.found != "nothing of this kind is on the unit."]
        said = {(f.gate.gate, f.status) for f in asked if f.status in ("pass", "fail", "caution")}
        known = _ANSWERED | ({"season"} if point.seasons else set())
        assert not [gate for gate, status in said if status == "fail" or gate not in known], (path.path, said)
    for path in museum.paths:
        assert path.fallback != path.path
    assert not {leg.mode for leg in museum.legs} - {leg.mode for stage in museum.stages for leg in museum.legs_of(stage)}
    seasons = {row.reason for row in museum.calendars if row.rule == "closed" and row.calendar != "year_end"}
    assert bool(seasons) <= point.seasons


@pytest.mark.parametrize("point", _SOME, ids=lambda point: f"{point.kind}-{point.stands}")
def test_every_kind_of_unit_begins_with_a_museum_that_checks_clean_and_claims_nothing(point, demos):
    _holds(checked(starter(demos[point.rules], point)), point)


@pytest.mark.parametrize("points", [pytest.param(_EVERY[::5], marks=pytest.mark.long, id="each fifth"),
                                    pytest.param(_EVERY, marks=pytest.mark.soak, id="all")])  # fmt: skip
def test_every_combination_of_first_answers_does(demos, points):
    for point in points:
        _holds(checked(starter(demos[point.rules], point)), point)


@pytest.mark.parametrize("point", [StartingPoint(), StartingPoint(kind="streetcar", stands="ground"),
                                   StartingPoint(kind="tank_engine", rules="melderbach")])  # fmt: skip
def test_it_decides_that_too_much_is_unknown_and_says_what_to_measure_first(point, demos):
    museum = checked(starter(demos[point.rules], point))
    found = compare_paths(museum, "our_unit", {}, draw(museum, trials=100))
    assert {result.status for result in found.paths if museum.path(result.path).saves} == {"unknown"}
    assert found.decision.verdict == "not yet" or found.decision.provisional_on
    assert found.decision.first


def test_no_name_of_the_demos_is_left(demos):
    rows = [line for table in ("legs", "places", "bridges") for line in demos["usa"].tables[f"{table}.csv"][1:]]
    names = {word for row in rows for word in row[0].split("_")} | {"Mill", "Corvane", "shut-in"}
    names -= _ANYWHERE
    began = starter_museum(StartingPoint(by_road="8 mile", seasons=True))
    text = "\n".join(" ".join(line) for lines in began.tables.values() for line in lines) + repr(began.scenario)
    words = set(text.replace("_", " ").replace(",", " ").replace(";", " ").replace('"', " ").split())
    assert not {name for name in names if name in words}
    assert "14" not in {row[0] for row in began.tables["legs.csv"]}


def test_nothing_is_billed_for_a_late_unit_until_somebody_has_said_so():
    assert [row.likely for row in checked(starter_museum()).rates if row.rate == "holdover"] == [0]
    asked = checked(starter_museum(StartingPoint(holdover=400)))
    assert [row.likely for row in asked.rates if row.rate == "holdover"] == [400]


def test_frost_stands_there_only_where_it_was_asked_for_and_can_be_taken_out_again(demos):
    asked = starter(demos["usa"], StartingPoint(seasons=True))
    frost = [line for line in asked.tables["calendars.csv"] if "03-01" in line]
    assert len(frost) == 1 and not any("03-01" in line for line in starter_museum().tables["calendars.csv"])
    asked.tables["calendars.csv"].remove(frost[0])
    checked(asked)


def test_what_was_left_out_is_said_with_the_reason(demos):
    out = left_out(demos["usa"], StartingPoint(stands="cut_off_track"))
    assert {"no rails at both ends", "no track that is joined to a railroad"} < set(out.values())


def test_every_answer_that_is_not_allowed_is_said_at_once():
    with pytest.raises(PlannerError) as caught:
        StartingPoint(kind="cabose", stands="there", by_rail="soon", holdover=-1)
    lines = str(caught.value).split("\n")
    assert len(lines) == 4 and "did you mean caboose?" in lines[0]
