"""A value entered in a starter's row is the planner's; the rest of the row is still the starter's, and says so."""

import pytest

from heritagemove.answers.basis_shares import basis_shares
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.dry_run import stopped_by
from heritagemove.editing.amending import amend, take_back
from heritagemove.editing.first_steps import answered, checked
from heritagemove.editing.starter import StartingPoint, new_museum, starter_museum
from heritagemove.files.tables import TableProblems
from heritagemove.museum.bases import Bases, key_of
from heritagemove.museum.museum import load_museum


def _nothing(museum):
    return ()


@pytest.fixture(scope="module")
def begun():
    return starter_museum(StartingPoint(stands="ground"))


def test_a_new_museums_prices_are_flagged_and_a_published_one_stays_published(begun):
    museum = checked(begun)
    assert all(row.starter for table in ("rates", "tasks", "risks", "cost_lines", "gates") for row in getattr(museum, table))
    assert {row.basis for row in museum.rates} == {"published", "judgment"}
    assert not any(row.starter for row in museum.survey)


def test_a_length_entered_by_form_leaves_speed_and_wires_the_starters(begun):
    museum = checked(answered(begun, {"leg.road_route.length": "61 mile"}))
    said, (leg,) = Bases(museum), museum.legs
    assert leg.starter and said.of("legs", leg, "speed").source.startswith("starter value")
    assert said.of("legs", leg, "length").source == "entered by form; not confirmed"
    assert not said.is_starter("legs", leg, ["length"]) and said.is_starter("legs", leg, ["length", "speed"])


def test_an_amended_value_is_hers_and_taking_it_back_makes_it_the_starters_again(tmp_path):
    folder = new_museum(tmp_path / "mine", StartingPoint(stands="ground"))
    before = (folder / "bases.csv").read_bytes()
    row = next(row for row in load_museum(folder).rates if row.rate == "body_haul")
    done = amend(folder, "rates.csv", row.row_number, "likely", "7", "planner", "asked a hauler", tried=stopped_by)
    (row,) = [each for each in done.museum.rates if each.name == row.name]
    said = Bases(done.museum)
    assert said.of("rates", row, "likely").source == "planner: asked a hauler" and said.is_starter("rates", row, ["low"])
    amend(folder, "rates.csv", row.row_number, "source", "quote of 3 May", "planner", "it came", tried=_nothing)
    assert not load_museum(folder).rates[row.row_number - 2].starter
    with pytest.raises(Exception, match="was changed by somebody else"):
        take_back(folder, done, "planner", "a slip", tried=_nothing)
    other = amend(folder, "legs.csv", 2, "speed", "40 mph", "planner", "driven", tried=_nothing)
    take_back(folder, other, "planner", "a slip", tried=_nothing)
    assert b"speed" not in (folder / "bases.csv").read_bytes() and before in (folder / "bases.csv").read_bytes()


def test_a_row_without_a_name_is_hers_as_a_whole(tmp_path):
    folder = new_museum(tmp_path / "mine", StartingPoint(stands="ground"))
    done = amend(folder, "calendars.csv", 2, "reason", "We rest", "planner", "ours", tried=_nothing)
    first, second = done.museum.calendars[:2]
    assert key_of(first) == "" and not first.starter and second.starter


def test_what_names_no_row_and_no_column_is_refused(begun):
    lines = begun.tables["bases.csv"]
    wrong = begun.tables | {"bases.csv": [*lines, ["legs.csv", "road_rute", "lenght", "measured", "x", ""]]}
    with pytest.raises(TableProblems) as caught:
        checked(type(begun)(begun.scenario, wrong))
    assert "did you mean road_route?" in str(caught.value) and "did you mean length?" in str(caught.value)


def test_basis_shares_count_a_measured_value_of_a_judged_row(museum, samples):
    rate = next(row for row in museum.rates if row.rate == "holdover")
    names = {"basis": "quote", "source": "letter", "starter": False, "table": "rates.csv", "key": "holdover"}
    from heritagemove.museum.rows.bases import ValueBasis

    rows = [ValueBasis.model_construct(**names, column=column) for column in ("low", "likely", "high")]
    before, after = (
        {part.title: part.price for part in basis_shares(compare_paths(m, "caboose", {}, samples), "roll_on").parts}
        for m in (museum, museum.with_rows(bases=tuple(rows)))
    )
    late = "Owner's charge for lateness"
    assert (before.get(late, rate.basis), after.get(late, "quote")) == ("judgment", "quote")
