"""Ratios measured in one run, printed as a table; a target that is not met says so there and is never moved.

The tests fail only beyond a regression bound: our own past ratio with room for a busy machine.
"""

import pytest
from measuring import TRIALS, VEHICLE

from heritagemove.compare.comparison import compare_paths
from heritagemove.trials.simulation import draw

ROWS = pytest.StashKey[list]()


@pytest.fixture
def record(request):
    """Return the function that enters a ratio in the table and holds it to its regression bound."""

    def enter(what, found, target, bound, at_most=True):
        met = found <= target if at_most else found >= target
        sign = "at most" if at_most else "at least"
        row = f"{what:<66}{found:>10.3g}   {sign:<8} {target:>6g}   {'met' if met else f'not met: {found:.3g}'}"
        request.config.stash.setdefault(ROWS, []).append(row)
        assert found <= bound if at_most else found >= bound, f"{what}: worse than the regression bound {bound:g}"

    return enter


def pytest_terminal_summary(terminalreporter, config):
    rows = config.stash.get(ROWS, [])
    if rows:
        terminalreporter.section("ratios of this run")
        for row in rows:
            terminalreporter.write_line(row)


@pytest.fixture(scope="session")
def drawn(museum):
    return draw(museum, trials=TRIALS)


@pytest.fixture(scope="session")
def compared(museum, drawn):
    return compare_paths(museum, VEHICLE, {"crane_hours": 24}, drawn)
