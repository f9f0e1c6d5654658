"""How close 10,000 trials come to 1,000,000: thirty seeds. Run by ``make soak``; it takes minutes."""

import numpy as np
import pytest
from measuring import VEHICLE

from heritagemove.trials import simulation, true_weight
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.soak

SEEDS = range(1, 31)
PATHS = ("trailer", "freight_wheelsets", "own_wheels")


def answers(museum, path, seed, trials):
    """Return the P80 cost [USD] and the chance by the deadline."""
    samples = draw(museum, seed, trials)
    needs = true_weight.work(museum, VEHICLE, path, samples, true_weight.weigh(museum, VEHICLE, path), {})
    found = simulation.simulate(museum, path, needs, samples)
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    return np.percentile(found.cost_usd, 80), np.mean(found.off_site <= deadline)


@pytest.mark.parametrize("path", PATHS)
def test_ten_thousand_trials_come_as_close_as_the_screen_says(museum, record, path):
    tables = {table: museum.of_path(table, path) for table in ("tasks", "cost_lines", "risks", "gates")}
    used = {line.rate for line in tables["cost_lines"]} | {museum.scenario.holdover_rate}
    small = museum.with_changes(**tables, rates=[row for row in museum.rates if row.rate in used])
    cost, chance = answers(small, path, 99, 1_000_000)
    found = np.array([answers(small, path, seed, 10_000) for seed in SEEDS])
    money = np.percentile(np.abs(found[:, 0] / cost - 1), 95) * 100
    share = np.percentile(np.abs(found[:, 1] - chance), 95) * 100
    record(f"{path}: P80 cost within, at 95 % of {len(SEEDS)} seeds [%]", money, 0.25, 1)
    record(f"{path}: chance by the deadline within, at 95 % [percentage points]", share, 0.6, 2)
