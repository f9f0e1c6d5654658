"""One state for all panels of a notebook: what is set, one comparison for it, and who is told."""

from html import escape

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.inputs import Inputs, as_set
from heritagemove.panels import state as module
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import draw

UNIT = "foundry_switcher"


@pytest.fixture(scope="module")
def few(museum):
    return draw(museum, trials=400)


@pytest.fixture
def state(museum, few):
    return Desk(museum, UNIT, few)


@pytest.fixture
def counted(monkeypatch):
    """Count the comparisons that are made."""
    calls = []

    def answer(*args):
        calls.append(args)
        return compare_again(*args)

    compare_again = module.answer
    monkeypatch.setattr(module, "answer", answer)
    return calls


def test_nothing_set_is_what_the_tables_say(museum, few, state):
    assert state.comparison.as_json() == compare_paths(museum, UNIT, samples=few).as_json()
    assert state.museum is museum and state.samples is few and state.error == ""


def test_a_comparison_is_made_once_however_often_it_is_read(state, counted):
    assert state.comparison is state.comparison
    state.change("Crane hours", settings={"crane_hours": 30.0})
    state.change("Crane hours", settings={"crane_hours": 30.0})
    assert state.comparison.settings == {"crane_hours": 30.0} and len(counted) == 2


def test_changes_made_together_are_one_comparison_and_one_notice(state, counted):
    told = []
    state.watch(lambda: told.append(state.inputs))
    with state.together():
        state.change("Crane hours", settings={"crane_hours": 30.0})
        state.change("Deadline", deadline_moved=-20)
    assert len(counted) == len(told) == 1
    assert told[0].deadline_moved == -20 and told[0].settings == {"crane_hours": 30.0}


def test_only_those_who_read_what_changed_are_told(state):
    told = []
    for field in ("settings", "deadline_moved", "budget_usd"):
        state.watch(lambda field=field: told.append(field), (field,))
    state.change("Budget", budget_usd=1000.0)
    state.change("Deadline", deadline_moved=-5)
    assert told == ["budget_usd", "deadline_moved"]


def test_a_budget_makes_no_comparison(state, counted):
    before = state.comparison
    state.change("Budget", budget_usd=1000.0)
    assert state.comparison is before and len(counted) == 1


@pytest.mark.parametrize(
    "changes",
    [{"settings": {"crane_hours": 30.0}}, {"settings": {"haul_distance": 200.0}, "deadline_moved": -40, "start_moved": 20},
     {"vehicle": "coach", "weight_tolerance": 9.0}],
    ids=lambda changes: next(iter(changes)),
)  # fmt: skip
def test_a_state_agrees_with_a_comparison_made_without_it(museum, state, changes):
    first = state.comparison
    state.change("x", settings={"crane_hours": 50.0})  # something to take over, and not to take over
    state.change("x", **({"settings": {}} | changes))
    inputs = Inputs(**({"vehicle": UNIT} | changes))
    changed = as_set(museum, inputs)
    alone = compare_paths(changed, inputs.vehicle, inputs.settings, draw(changed, trials=400))
    assert state.comparison.as_json() == alone.as_json() != first.as_json()


def test_reset_goes_back_to_the_tables_and_their_museum(museum, state):
    before = state.comparison.as_json()
    state.change("x", settings={"crane_hours": 50.0}, deadline_moved=-40, budget_usd=5.0)
    state.reset()
    assert state.comparison.as_json() == before and state.museum is museum
    assert state.inputs == Inputs(UNIT)


def test_a_refused_change_names_its_input_escaped_and_keeps_the_last_good_answer(state):
    before, hostile = state.comparison, '<img src=x onerror="alert(1)">'
    assert not state.change(f"Axles {hostile}", settings={"axles": 0.5})
    assert state.comparison is before and state.inputs.settings == {}
    assert 'role="alert"' in state.error and escape(hostile) in state.error and hostile not in state.error
    assert "axles: found" in state.error and "last good answer" in state.error
    assert state.change("Reset", settings={}) and state.error == ""


def test_a_panel_that_fails_is_said_so_and_the_others_follow_all_the_same(state):
    told = []

    def fail():
        raise RuntimeError("no ink")

    state.watch(fail)
    state.watch(lambda: told.append(True))
    assert state.change("Crane hours", settings={"crane_hours": 30.0})
    assert told == [True] and "no ink" in state.error


def test_an_unknown_unit_is_answered_with_those_there_are(museum, few):
    with pytest.raises(ValueError, match='vehicle: found "swicher"; allowed: foundry_switcher'):
        Desk(museum, "swicher", few)
