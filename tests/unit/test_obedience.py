"""What is printed is what happens to a committee that does exactly what it says, in trials that it has not seen."""

from pathlib import Path

import pytest
from obedient import obeyed
from scipy import stats

from heritagemove.compare import decision
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.museum import load_museum

FOLDERS = ("tamber_river", "elsewhere/melderbach")
MUSEUMS = {folder: load_museum(Path(__file__).parents[2] / "data" / folder) for folder in FOLDERS}
UNITS = [(folder, row.vehicle) for folder, museum in MUSEUMS.items() for row in museum.vehicles]
#: Two tests a unit, at 1 % together.
LEVEL = 0.01 / (2 * len(UNITS))


@pytest.mark.parametrize(("folder", "vehicle"), UNITS)
def test_the_printed_chance_and_budget_hold_when_they_are_obeyed(folder, vehicle):
    museum = MUSEUMS[folder]
    comparison = compare_paths(museum, vehicle)
    told = comparison.as_json()["decision"]
    assert told["verdict"] == "do this", "the demos advise a path for each of their units"
    in_time, cost = obeyed(museum, comparison, seed=museum.scenario.simulation.seed + 7)
    hits, within = int(in_time.sum()), int((cost <= told["budget"]["p80"]).sum())
    trials, confidence = len(in_time), museum.scenario.simulation.confidence
    assert stats.binomtest(hits, trials, told["chance_if_decided_then"]).pvalue >= LEVEL, hits / trials
    assert stats.binomtest(within, trials, confidence).pvalue >= LEVEL, within / trials


def test_days_found_with_all_gates_met_would_not_have_held():
    """A day to commit and a day to turn, each found from the dates of a path alone, miss their chance by five points."""
    museum, missed = MUSEUMS["tamber_river"], 0
    for row in museum.vehicles:
        comparison = compare_paths(museum, row.vehicle)
        path = comparison.path(comparison.choice)
        second = decision.fall_back(museum, comparison.paths, path)
        commit = decision.latest_decision(museum, path, comparison.samples)
        begin = second and decision.latest_start(museum, second, comparison.samples)
        hinge = comparison.decision.hinge.gate
        told = {
            "path": path.path,
            "decide_on": commit.isoformat(),
            "hinge": {"gate": hinge},
            "on_refusal": dict.fromkeys(comparison.decision.on_refusal, second and second.path),
            "fallbacks": [{"path": second.path, "on_refusal": None}] if second else [],
            "switch_on": begin.isoformat() if begin else None,
        }
        in_time, _ = obeyed(museum, comparison, seed=museum.scenario.simulation.seed + 7, trials=400, told=told)
        missed += in_time.mean() < museum.scenario.simulation.confidence - 0.05
    assert missed >= 4
