"""No fact without a reader: each, turned to the worst that may be found, changes what some path answers.

Columns say themselves who reads them (tests/test_docs.py holds them to it); limits that say `checked` move an answer
(test_limit_rows.py). Here are the facts of the survey: sights at a journal box, items of readiness, facts of unit and site.
"""

from pathlib import Path

import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import price_path
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import TABLES
from heritagemove.museum.rows.survey import FACTS, WORST
from heritagemove.trials.simulation import draw

DATA = Path(__file__).resolve().parents[2] / "data"
MUSEUMS = {name: load_museum(DATA / name) for name in ("tamber_river", "elsewhere/melderbach")}
#: Units of the demo in which each fact has a part: a locomotive, a car on plain bearings, one on rollers.
UNITS = ("foundry_switcher", "consolidation", "caboose", "boxcar")
#: Facts that no answer can rest on, with the screen that shows them.
ONLY_SHOWN: dict[str, str] = {}


def sights(museum):
    """Return the worst finding of each sight at a journal box, and the best."""
    rows = [row for row in museum.clues if row.clue != "prior"]
    return {row.clue: row.found for row in rows if row.worst}, {row.clue: row.found for row in rows if not row.worst}


def facts_of(museum):
    """Return every fact that a museum's survey may hold, with the worst that may be found."""
    asked = {fact for gate in museum.gates for fact in gate.fact}
    worst = {fact: WORST.get(fact, "no") for fact in (*FACTS, *sorted(asked))}
    return worst | {row.clue: row.worst for row in museum.readiness if row.clue} | sights(museum)[0]


def best(museum, fact):
    """Return a finding that meets what rests on a fact; another sight of a journal box; what the demo found of a measure."""
    good = {row.clue: row.good[0] for row in museum.readiness if row.clue} | sights(museum)[1]
    for gate in museum.gates:
        good |= {name: gate.allowed.split(";")[0] for name in gate.fact}
    return good.get(fact, "unknown")


def surveyed(museum, unit, fact, found):
    """Return the museum in which a fact is found so, and what shares a gate with it is good: the fact's own case.

    A sight at the boxes is then the only one.
    """
    beside = {} if fact in sights(museum)[0] else {other: best(museum, other) for other in beside_it(museum, fact)}
    gone = {fact, *(set(sights(museum)[0]) if fact in sights(museum)[0] else beside)}
    one = next(row for row in museum.survey if row.vehicle == unit and row.place == "vehicle")
    rows = [one.model_copy(update={"clue": clue, "found": word}) for clue, word in (beside | {fact: found}).items()]
    return museum.with_changes(survey=[*(row for row in museum.survey if row.clue not in gone), *rows])


def beside_it(museum, fact):
    """Return the facts that share a gate with this one: one that is bad already would hide another."""
    gates = [gate for gate in museum.gates if (gate.path, gate.gate) in rests_on(museum, fact)]
    groups = {group for gate in gates for group in gate.rests_on}
    shared = {row.clue for row in museum.readiness if row.clue and row.subject in groups}
    return (shared | {name for gate in gates for name in gate.fact}) - {fact, *sights(museum)[0]}


#: The museum in which a fact has a part where the demo has none of its kind.
OWN_CASE = {
    "carrier_accepts_roller": lambda museum: museum.with_changes(
        vehicles=[row.model_copy(update={"bearing": "roller"}) for row in museum.vehicles],
        survey=[row for row in museum.survey if row.clue not in sights(museum)[0]],
    )
}


def answers(museum, unit, path):
    screening = screen(museum, unit, path)
    return [(each.gate.gate, each.status, round(each.refusal, 9)) for each in screening.findings], screening.amounts


def moves(museum, unit, fact, worst):
    museum, other = OWN_CASE.get(fact, lambda same: same)(museum), best(museum, fact)
    assert other != worst
    good, bad = (surveyed(museum, unit, fact, found) for found in (other, worst))
    return any(answers(good, unit, path.path) != answers(bad, unit, path.path) for path in museum.paths)


CASES = sorted((name, fact) for name, museum in MUSEUMS.items() for fact in facts_of(museum))


@pytest.mark.parametrize(("name", "fact"), CASES, ids=lambda part: part)
def test_a_fact_turned_to_the_worst_changes_an_answer(name, fact):
    museum = MUSEUMS[name]
    if fact in ONLY_SHOWN or (name != "tamber_river" and not rests_on(museum, fact)):
        return  # what no gate of the other country names is tried in the demo
    units = UNITS if name == "tamber_river" else [row.vehicle for row in museum.vehicles]
    assert any(moves(museum, unit, fact, facts_of(museum)[fact]) for unit in units)


def rests_on(museum, fact):
    """Return the gates, paths and all, that name a fact, or the group of readiness.csv that it answers."""
    groups = {row.subject for row in museum.readiness if row.clue == fact}
    groups |= {"bearing", "bearing_type"} if fact in sights(museum)[0] else set()
    return [(gate.path, gate.gate) for gate in museum.gates if fact in gate.fact or groups & set(gate.rests_on)]


#: Facts that a check reads by name and no gate names.
READ_BY_A_CHECK = {"journal_size": "journal_rating"}


def test_every_fact_names_its_reader():
    museum = MUSEUMS["tamber_river"]
    known = {*ONLY_SHOWN, *READ_BY_A_CHECK}
    assert [fact for fact in facts_of(museum) if not rests_on(museum, fact) and fact not in known] == []


def test_every_column_and_every_checked_limit_names_its_reader():
    unread = [f"{t}.{c.name}" for t, model in TABLES.items() for c in model.columns.values() if c.read_by in ("", "nobody")]
    unread += [row.limit for row in MUSEUMS["tamber_river"].limits if row.use not in ("checked", "shown")]
    assert unread == []


@pytest.mark.parametrize("name", MUSEUMS)
def test_the_worst_sight_is_the_one_that_a_roller_bearing_shows_least(name):
    rows = [row for row in MUSEUMS[name].clues if row.clue != "prior"]
    for clue in {row.clue for row in rows}:
        group = [row for row in rows if row.clue == clue]
        least = min(group, key=lambda row: row.roller / (row.plain + row.converted_roller))
        assert [row.found for row in group if row.worst] == [least.found]


def test_the_worst_of_an_item_is_not_what_it_asks_for():
    for museum in MUSEUMS.values():
        for row in museum.readiness:
            assert (row.worst is None) == (row.clue is None) and row.worst not in row.good, row.item


def test_a_fact_that_stops_a_path_stops_its_price_too():
    """The whole way from the survey to the decision: a severed track takes every rail path out."""
    museum = MUSEUMS["tamber_river"]
    severed = museum.with_changes(
        survey=[row.model_copy(update={"found": "no"}) if row.clue == "rail_connection" else row for row in museum.survey]
    )
    samples = draw(severed, trials=50)
    for path in severed.paths:
        rail = any(stage.path == path.path and stage.mode == "rail" for stage in severed.stages)
        status = price_path(severed, "coach", path.path, samples=samples).status
        assert status == "blocked" if rail else status != "unknown"
