"""What a path waits for that others decide: a fund, each state crossed, each border, and tasks that may not be needed."""

import datetime as dt

import numpy as np
import pytest
from scipy import stats

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.rules import cross_table_problems
from heritagemove.museum.waits import borders_of, each_of, states_of
from heritagemove.trials import simulation
from heritagemove.units.units import Quantity
from heritagemove.whole_site.funding import grants

UNIT, PATH, TRIALS = "caboose", "roll_on", 2000
GRANT = {"fund": "the_grant", "title": "The grant", "probability": 0.7, "units": (), "phases": (), "lines": (),
         "condition": None, "repays": "no", "interest": Quantity(0.0, "percent"), "term": 0}  # fmt: skip


def task_of(museum, name, path=PATH):
    return next(row for row in museum.tasks if (row.path, row.task) == (path, name))


def with_task(museum, name, path=PATH, **values):
    row = task_of(museum, name, path)
    return museum.with_changes(tasks=[r.model_copy(update=values) if r is row else r for r in museum.tasks])


def waiting(museum, days, probability=0.7, task="permits"):
    """Return a museum in which a task waits for a grant that comes so many days after the start."""
    earliest = museum.scenario.start + dt.timedelta(days=days)
    grant = museum.funds[0].model_copy(update=GRANT | {"earliest": earliest, "probability": probability})
    return with_task(museum.with_changes(funds=[*museum.funds, grant]), task, fund="the_grant")


def result_of(museum, vehicle=UNIT, path=PATH, settings=None):
    return compare_paths(museum, vehicle, settings or {}, simulation.draw(museum, trials=TRIALS)).path(path)


def test_work_waits_for_its_fund_and_no_longer(museum):
    plain, held = result_of(museum), result_of(waiting(museum, 150))
    finish = held.trials.dates.finish["permits"]
    assert (finish == np.maximum(plain.trials.dates.finish["permits"], 150)).all()
    assert (held.trials.dates.ready["winch_on"] >= 150).all()
    assert (result_of(waiting(museum, 1)).trials.off_site == plain.trials.off_site).all()


def test_a_fund_that_is_not_granted_refuses_the_path_by_the_draw_that_the_funding_screens_use(museum):
    changed = waiting(museum, 100)
    samples = simulation.draw(changed, trials=TRIALS)
    found = compare_paths(changed, UNIT, {}, samples).path(PATH)
    (gate,) = (f for f in found.findings if f.gate.gate == "fund/the_grant")
    assert (gate.status, round(gate.refusal, 9), gate.gate.title) == ("open", 0.3, "Money in hand: The grant")
    not_granted = ~grants(changed, samples)["the_grant"]
    assert not_granted.mean() == pytest.approx(0.3, abs=1e-3)
    assert (found.branch.refused >= not_granted).all()
    before = result_of(museum)
    assert found.chance_of_gates == pytest.approx(before.chance_of_gates * 0.7)


def test_a_fund_that_is_certain_is_waited_for_and_refuses_nothing(museum):
    found = result_of(waiting(museum, 100, probability=1.0))
    assert next(f for f in found.findings if f.gate.gate == "fund/the_grant").status == "pass"


def test_a_date_that_a_fund_sets_is_not_laid_on_the_work_before_it(museum):
    assert result_of(museum).critical["survey"] > 0.5
    late = result_of(waiting(museum, 200))
    assert late.critical["permits"] == 1.0
    assert late.critical["survey"] == late.critical["committee_decision"] == 0.0


@pytest.mark.parametrize("of", [{"units": ("caboose",)}, {"condition": "off_site_by_deadline"}])
def test_a_task_waits_for_no_fund_that_is_for_some_units_or_waits_for_the_move(museum, of):
    changed = waiting(museum, 100)
    funds = [row.model_copy(update=of) if row.fund == "the_grant" else row for row in changed.funds]
    (found,) = cross_table_problems(changed.with_changes(funds=funds))
    assert (found.file, found.column) == ("tasks.csv", "fund")


def through(museum, *states):
    """Return a museum whose road legs run through these states, from the site on; the detour through the first."""
    road = {row.leg: state for row, state in zip(museum.route("road"), states, strict=True)}
    legs = [r.model_copy(update={"state": road.get(r.leg, states[0])}) if r.mode == "road" else r for r in museum.legs]
    return museum.with_changes(legs=legs)


THREE = ("here", "here", "between", "there", "there")


def test_states_and_borders_are_counted_along_the_way(museum):
    legs = through(museum, *THREE).route("road")
    assert (states_of(legs), borders_of(legs)) == (("here", "between", "there"), 2.0)
    there_and_back = through(museum, "here", "there", "here", "here", "here").route("road")
    assert (states_of(there_and_back), borders_of(there_and_back)) == (("here", "there"), 2.0)
    amounts = result_of(through(museum, *THREE)).work.amounts
    assert (amounts["states"], amounts["borders"]) == (3.0, 2.0)


def test_a_state_that_nobody_entered_is_unknown_and_not_one(museum):
    blank = through(museum, "here", None, "here", "here", "here")
    assert states_of(blank.route("road")) is None and borders_of(blank.route("road")) is None
    found = result_of(with_task(blank, "permits", for_each="state"))
    assert "states" in found.trials.unknown and found.cost is None and found.status == "unknown"


def test_a_permit_of_each_state_takes_as_long_as_the_slowest(museum):
    pert = {"low": 10.0, "likely": 20.0, "high": 50.0, "range": "bounds", "market": None, "for_each": "state"}
    changed = with_task(through(museum, *THREE), "permits", **pert)
    drawn = simulation.draw(changed, trials=20_000).tasks[PATH, "permits"]
    one = stats.beta(2, 4, loc=10, scale=40)
    for share in (0.1, 0.5, 0.8, 0.95):  # three independent draws: the greatest is below x with F(x)^3
        assert np.quantile(drawn, share) == pytest.approx(one.ppf(share ** (1 / 3)), abs=0.3)


def test_a_state_more_moves_no_other_state_s_draw(museum):
    each = {"for_each": "state", "market": None}
    two = simulation.draw(with_task(through(museum, "a", "a", "b", "b", "b"), "permits", **each), trials=200)
    three = simulation.draw(with_task(through(museum, "a", "a", "b", "c", "c"), "permits", **each), trials=200, previous=two)
    assert (three.tasks[PATH, "permits"] >= two.tasks[PATH, "permits"]).all()
    assert (three.tasks[PATH, "haul"] == two.tasks[PATH, "haul"]).all()
    again = simulation.draw(three.museum, trials=200)
    assert (again.tasks[PATH, "permits"] == three.tasks[PATH, "permits"]).all()


def test_a_review_of_each_main_line_railroad_counts_railroads_and_none_takes_no_days(museum):
    row = task_of(museum, "carrier_acceptance", "own_wheels").model_copy(update={"for_each": "class_one_carrier"})
    assert each_of(museum, row) == ("halcyon_trunk_lines",)
    short = museum.with_changes(legs=[r.model_copy(update={"owner": "short_line"}) for r in museum.legs])
    assert each_of(short, row) == ()
    changed = with_task(short, "carrier_acceptance", "own_wheels", for_each="class_one_carrier")
    assert not simulation.draw(changed, trials=50).tasks["own_wheels", "carrier_acceptance"].any()


@pytest.mark.parametrize(("borders", "chance"), [(0, 0.0), (1, 0.2), (2, 0.36), (3, 0.488)])
def test_a_chance_for_each_border_is_that_none_of_them_lets_it_through(museum, borders, chance):
    row = next(r for r in museum.risks if (r.path, r.risk) == (PATH, "wires_not_lifted"))
    each = row.model_copy(update={"needs": None, "for_each": "borders", "probability": 0.2, "cost_low": 1000.0,
                                  "cost_likely": 1000.0, "cost_high": 1000.0})  # fmt: skip
    changed = museum.with_changes(risks=[each if r is row else r for r in museum.risks])
    found = result_of(changed, settings={"borders": borders}).trials
    struck = found.risks["wires_not_lifted"]
    assert struck.happens.mean() == pytest.approx(chance, abs=1e-3)
    assert found.risk_cost_usd["wires_not_lifted"].mean() == pytest.approx(1000 * chance, abs=1)
    assert ((struck.delay_days > 0) == struck.happens).all()


def test_a_task_that_a_path_does_not_need_takes_no_days(museum):
    forty = {"low": 40.0, "likely": 40.0, "high": 40.0, "needs": "steam_engines"}
    changed = with_task(museum, "permits", **forty)
    dates = result_of(changed).trials.dates
    assert (dates.finish["permits"] == dates.ready["permits"]).all()
    needed = result_of(with_task(museum, "permits", **forty | {"needs": "axles"})).trials.dates
    assert (needed.finish["permits"] - needed.ready["permits"] >= 40).all()
