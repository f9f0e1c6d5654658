"""All units of the demo together, gathered once: screening them takes seconds."""

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.panels import controls
from heritagemove.trials import simulation
from heritagemove.whole_site import best_set, fleet


@pytest.fixture(scope="session")
def all_units(museum):
    return fleet.fleet_of(museum, trials=300)


@pytest.fixture(scope="session")
def best_sets(all_units):
    """The cheapest set for each number of points; the seconds of a proof are for the tests that ask for one."""
    return best_set.frontier(all_units, seconds=4)


@pytest.fixture(scope="session")
def thousand(museum):
    """A thousand trials, as the tests of one answer ask for."""
    return simulation.draw(museum, trials=1000)


@pytest.fixture(scope="session")
def switcher(museum, thousand):
    return compare_paths(museum, "foundry_switcher", None, thousand)


@pytest.fixture(autouse=True)
def without_a_loop(monkeypatch):
    """A browser that the same worker drove leaves its loop running: a slider moved here is at rest at once all the same."""
    monkeypatch.setattr(controls, "running_loop", lambda: None)
