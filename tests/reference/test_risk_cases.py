"""Cost, schedule and decision examples with known answers: every row of risk_cases.csv against the package.

Expected values are published or computed without this package. Networks run in sixths of a day, merges in
thousandths, so that the whole days of the schedule hold the sources' fractions.
"""

import csv
import itertools
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy import special, stats

from heritagemove.answers.decision_analysis import expected_costs, expected_regrets, worst_regrets
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.museum import load_museum
from heritagemove.museum.waits import fund_gates
from heritagemove.trials.draws import draw
from heritagemove.trials.sampling import Streams, bounds_from_p10_p90, pert_quantile
from heritagemove.trials.schedule import Calendar, critical_share, forward, latest_finishes

KINDS = {"source", "secondary", "memory", "common_practice", "computed"}
CASES = list(csv.DictReader(Path(__file__).with_name("risk_cases.csv").read_text(encoding="utf-8").splitlines()))
EVERY_DAY = Calendar.of("every_day", np.ones(150_000, dtype=bool))
TRIALS = 100_000

# Lowest, likely and highest days, and what each task waits for.
NETWORKS = {
    "reliable_construction": "A 1 2 3; B 2 3.5 8 A; C 6 9 18 B; D 4 5.5 10 C; E 1 4.5 5 C; F 4 4 10 E; G 5 6.5 11 D; "
    "H 5 8 17 EG; I 3 7.5 9 C; J 3 9 9 FI; K 4 4 4 J; L 1 5.5 7 J; M 1 2 3 H; N 5 5.5 9 KL",
    "general_foundry": "A 1 2 3; B 2 3 4; C 1 2 3 A; D 2 4 6 B; E 1 4 7 C; F 1 2 9 C; G 3 4 11 DE; H 1 2 3 FG",
    "advertising": "A 5 6 7; B 8 8 11; C 6 8 11 A; D 9 12 15; E 5 6 9 C; F 5 6 7 D; G 2 3 7 F; H 4 4 5 B; I 5 7 8 H",
    "fourteen_tasks": "A 5 5 7; B 1 2 5; C 5 5 5 A; D 4 8 13 A; E 1 10 17 BC; F 1 5 7 D; G 2 6 9 D; H 4 4 6 EF; "
    "I 2 7 10 GH; J 2 4 7 I; K 6 10 13 I; L 2 6 6 J; M 2 2 3 K; N 7 7 12 LM",
}
SIXTHS = 6

PAYOFFS = {
    "lumber": ({"large": (200, 100, -120), "small": (90, 50, -20), "nothing": (0, 0, 0)}, (0.3, 0.5, 0.2)),
    "gas_station": (
        {"small": (50, 20, -10), "medium": (80, 30, -20), "large": (100, 30, -40), "very_large": (300, 25, -160)},
        (0.3, 0.5, 0.2),
    ),
}


@cache
def network(name):
    """Return the triples, floats in days and critical tasks of a network at its mean durations."""
    rows = [entry.split() for entry in NETWORKS[name].split(";")]
    triples = {task: tuple(map(float, numbers[:3])) for task, *numbers in rows}
    after = {task: list(rest[3]) if len(rest) > 3 else [] for task, *rest in rows}
    after["end"] = list(triples)
    days = {task: np.array([round(low + 4 * likely + high)]) for task, (low, likely, high) in triples.items()}
    days["end"] = np.array([0])
    calendars = dict.fromkeys(after, EVERY_DAY)
    dates = forward(after, days, calendars)
    latest = latest_finishes(after, days, calendars, dates.finish["end"])
    floats = {task: float(latest[task][0] - dates.finish[task][0]) / SIXTHS for task in triples}
    critical = [task for task, share in critical_share(after, dates, "end").items() if share == 1 and task != "end"]
    return triples, floats, critical, float(dates.finish["end"][0]) / SIXTHS


def float_days(subject):
    name, task = subject.split()
    return network(name)[1][task]


def critical_mean(name):
    return network(name)[3]


def critical_variance(name):
    triples, _, critical, _ = network(name)
    return sum((triples[task][2] - triples[task][0]) ** 2 / 36 for task in critical)


def chance_by(subject):
    name, day = subject.split()
    return stats.norm.cdf((float(day) - critical_mean(name)) / critical_variance(name) ** 0.5)


def longest(*days):
    """Return when parallel tasks are all done, by the schedule, in thousandths of a day."""
    tasks = {str(number): np.rint(1000 * each).astype(np.int64) for number, each in enumerate(days)}
    after = dict.fromkeys(tasks, ()) | {"end": tuple(tasks)}
    all_days = tasks | {"end": np.zeros(len(days[0]), dtype=np.int64)}
    return forward(after, all_days, dict.fromkeys(after, EVERY_DAY)).finish["end"] / 1000


@cache
def merged(subject):
    paths, strength = subject.split()
    streams, shift, days = Streams(7, TRIALS), 20, []
    for number, path in enumerate(paths.split(";")):
        mean, deviation = map(float, path.split(","))
        score = special.ndtri(streams.market_shares(f"path/{number}", "market", float(strength)))
        days.append(shift + mean + deviation * score)
    return longest(*days) - shift


def merged_mean(subject):
    return merged(subject).mean()


def merged_variance(subject):
    return merged(subject).var()


def merged_chance_by(subject):
    paths, day = subject.split()
    return np.mean(merged(f"{paths} 0") <= float(day))


def triangular_merge(subject):
    count, share = subject.split()
    shares = [Streams(7, TRIALS).shares(f"path/{number}") for number in range(int(count))]
    days = [np.where(u < 0.5, 80 + 20 * np.sqrt(2 * u), 120 - 20 * np.sqrt(2 * (1 - u))) for u in shares]
    return np.quantile(longest(*days), float(share))


@cache
def pert_paths():
    triples = ((10, 20, 50), (12, 20, 40), (15, 22, 30))
    return longest(*(Streams(7, TRIALS).values(f"path/{number}", *triple) for number, triple in enumerate(triples)))


def statistic(values, name):
    if name in ("mean", "variance"):
        return values.mean() if name == "mean" else values.var()
    return np.quantile(values, float(name))


def pert_merge(subject):
    return statistic(pert_paths(), subject)


def rank_correlation(subject):
    streams = Streams(7, TRIALS)
    prices = [streams.values(f"rate/{name}", 10, 20, 50, market="crane", strength=float(subject)) for name in "ab"]
    return stats.spearmanr(*prices).statistic


def independence_understates(subject):
    count, strength = subject.split()
    streams = Streams(7, 20_000)
    deviations = [
        sum(special.ndtri(streams.market_shares(f"rate/{n}", "crane", each)) for n in range(int(count))).std()
        for each in (0.0, float(strength))
    ]
    return 1 - deviations[0] / deviations[1]


DATA = Path(__file__).resolve().parents[2] / "data"
RISK_PATH = "trailer"


@cache
def risks_of(impacts):
    """Return the drawn total of a path's risks when they have these probabilities and costs [thousand USD]."""
    museum = load_museum(DATA / "tamber_river")
    own = [row for row in museum.risks if row.path == RISK_PATH][: len(impacts)]
    changed = []
    for row, (probability, *costs) in zip(own, impacts, strict=True):
        low, likely, high = (1000.0 * cost for cost in costs)
        update = {"probability": probability, "cost_low": low, "cost_likely": likely, "cost_high": high, "bought": False}
        update |= dict.fromkeys(("stretches", "closed_from", "for_each", "deductible"))
        changed.append(row.model_copy(update=update))
    found = draw(museum.with_changes(risks=changed, tasks=(), rates=(), cost_lines=()), trials=20_000).risks
    return sum(found[row.path, row.risk].cost_usd for row in changed) / 1000


@cache
def permits_of_states(count):
    """Return the days of a permit of 10, 20, 50 working days that each of so many states on a path gives."""
    museum, names = load_museum(DATA / "tamber_river"), [f"state_{number}" for number in range(count)]
    legs = [row.model_copy(update={"state": names[min(row.order, count) - 1]}) for row in museum.legs]
    row = next(row for row in museum.tasks if (row.path, row.task) == (RISK_PATH, "haul"))
    pert = {"low": 10.0, "likely": 20.0, "high": 50.0, "range": "bounds", "market": None, "for_each": "state"}
    changed = museum.with_changes(legs=legs, tasks=[row.model_copy(update=pert)], rates=(), cost_lines=(), risks=())
    return draw(changed, trials=50_000).tasks[RISK_PATH, "haul"]


def permit_of_each_state(subject):
    count, name = subject.split()
    return statistic(permits_of_states(int(count)), name)


def wait_for_a_fund(subject):
    """Return when work of so many days is finished that waits for a fund that pays on a day."""
    days, pays = map(int, subject.split())
    work = {"work": np.array([days]), "after": np.array([5])}
    dates = forward({"work": (), "after": ("work",)}, work, dict.fromkeys(work, EVERY_DAY), 0, {"work": pays})
    assert dates.finish["after"][0] == dates.finish["work"][0] + 5
    return dates.finish["work"][0]


def fund_refuses(subject):
    """Return the share of trials in which a path that waits for a fund of this chance is refused."""
    museum = load_museum(DATA / "tamber_river")
    row = next(row for row in museum.tasks if (row.path, row.task) == (RISK_PATH, "haul"))
    fund = museum.funds[0].model_copy(update={"probability": float(subject)})
    changed = museum.with_changes(tasks=[row.model_copy(update={"fund": fund.fund})], funds=[fund], rates=(), cost_lines=())
    (gate,) = fund_gates(changed, RISK_PATH)
    return np.mean(draw(changed, trials=20_000).gates[gate.gate] < gate.refusal_probability)


CHANCES, COSTS = (0.1, 0.2, 0.25, 0.3, 0.15, 0.4, 0.05, 0.35), (1, 2, 3, 5, 8, 13, 21, 34)


def risk_total(subject):
    return statistic(risks_of(tuple((p, c, c, c) for p, c in zip(CHANCES, COSTS, strict=True))), subject)


def risk_total_by(subject):
    total = risks_of(tuple((p, c, c, c) for p, c in zip(CHANCES, COSTS, strict=True)))
    return np.mean(total <= float(subject) + 1e-6)


def one_risk(subject):
    return statistic(risks_of(((0.3, 10, 20, 50),)), subject)


def quantile_of(subject):
    triple, last = subject.split()
    return tuple(map(float, triple.split(","))), last


def drawn_quantile(subject):
    triple, share = quantile_of(subject)
    return np.quantile(Streams(7, 10_000).values("rate/any", *triple), float(share))


def table_quantile(subject):
    triple, share = quantile_of(subject)
    return pert_quantile(np.array([float(share)]), *triple)[0]


def bounds(subject):
    triple, end = quantile_of(subject)
    return bounds_from_p10_p90(*triple)[("low", "high").index(end)]


def decision_table(subject):
    name, _, choice = subject.partition(" ")
    payoffs, shares = PAYOFFS[name]
    return -np.array(list(payoffs.values()), dtype=float), shares, list(payoffs).index(choice) if choice else None


def expected_payoff(subject):
    costs, shares, choice = decision_table(subject)
    return -expected_costs(costs, shares)[choice]


def greatest_regret(subject):
    costs, _, choice = decision_table(subject)
    return worst_regrets(costs)[choice]


def perfect_information(subject):
    costs, shares, _ = decision_table(subject)
    return expected_regrets(costs, shares).min()


#: What each check of the table computes from its subject.
CHECKS = {
    check.__name__: check
    for check in (
        float_days, critical_mean, critical_variance, chance_by, merged_mean, merged_variance, merged_chance_by,
        triangular_merge, pert_merge, rank_correlation, independence_understates, risk_total, risk_total_by, one_risk,
        drawn_quantile, bounds, expected_payoff, greatest_regret, perfect_information, permit_of_each_state, wait_for_a_fund,
        fund_refuses,
    )
} | {"pert_quantile": table_quantile}  # fmt: skip


def computed(case):
    return float(CHECKS[case["check"]](case["subject"]))


@pytest.mark.parametrize("case", CASES, ids=[f"{case['check']}-{case['subject'][:40]}" for case in CASES])
def test_the_computed_value_is_the_source_s(case):
    assert case["kind"] in KINDS and case["source"]
    assert computed(case) == pytest.approx(float(case["expected"]), abs=float(case["tolerance"]), rel=0)


def test_the_differences_from_the_sources_are_printed(capsys):
    differences: dict[str, list[float]] = {}
    for case in CASES:
        differences.setdefault(case["check"], []).append(abs(computed(case) - float(case["expected"])))
    lines = [f"{name:<30}{len(each):>6}{max(each):>14.4g}" for name, each in differences.items()]
    with capsys.disabled():
        print("\n".join(["", f"{'check':<30}{'cases':>6}{'largest diff':>14}", *lines]))
    assert set(differences) == set(CHECKS)


def test_the_whole_distribution_of_a_discrete_total_is_the_exact_convolution_s():
    """Enumerated over all 256 outcomes: no step of the drawn distribution is off by more than its sampling error."""
    exact: dict[int, float] = {}
    for outcome in itertools.product((0, 1), repeat=len(COSTS)):
        chance = np.prod([p if hit else 1 - p for p, hit in zip(CHANCES, outcome, strict=True)])
        total = int(np.dot(outcome, COSTS))
        exact[total] = exact.get(total, 0.0) + float(chance)
    steps = sorted(exact)
    drawn = [risk_total_by(step) for step in steps]
    # Kolmogorov's limit at 99.9 per cent for 20,000 independent draws; stratified ones lie closer.
    assert np.max(np.abs(np.cumsum([exact[step] for step in steps]) - drawn)) < 1.95 / np.sqrt(20_000)


def bits(samples):
    """Return every drawn array of a museum's samples as bytes, by what it belongs to."""
    arrays = {
        (table, key): values
        for table in ("rates", "tasks", "quantities", "weights", "gates")
        for key, values in getattr(samples, table).items()
    }
    for key, risk in samples.risks.items():
        arrays |= {("happens", key): risk.happens, ("cost", key): risk.cost_usd, ("delay", key): risk.delay_days}
    return {key: values.tobytes() for key, values in arrays.items()}


def test_a_repeated_seed_gives_bit_identical_draws_and_answers(museum):
    first, second = (draw(museum, seed=11, trials=500) for _ in range(2))
    assert bits(first) == bits(second)
    vehicle = museum.vehicles[0].vehicle
    one, other = (compare_paths(museum, vehicle, None, samples) for samples in (first, second))
    assert one.as_json() == other.as_json()
    for left, right in zip(one.paths, other.paths, strict=True):
        assert left.trials.cost_usd is None or left.trials.cost_usd.tobytes() == right.trials.cost_usd.tobytes()
    assert bits(draw(museum, seed=12, trials=500)) != bits(first)


@pytest.mark.parametrize("table", ["rates", "tasks", "risks", "cost_lines"])
def test_a_row_added_to_one_path_leaves_every_other_draw_and_path_bit_identical(museum, table):
    named = {"rates": "rate", "tasks": "task", "risks": "risk", "cost_lines": "line"}[table]
    mine = "trailer"
    model = next(row for row in getattr(museum, table) if getattr(row, "path", mine) == mine)
    added = model.model_copy(update={named: "added_row"} | ({"milestone": ()} if table == "tasks" else {}))
    more = museum.with_changes(**{table: [added, *getattr(museum, table)]})
    before, after = draw(museum, trials=500), draw(more, trials=500)
    old, new = bits(before), bits(after)
    assert {key: new[key] for key in old} == old
    assert (len(new) > len(old)) == (table != "cost_lines")
    vehicle = museum.vehicles[0].vehicle
    one, other = (compare_paths(m, vehicle, None, drawn) for m, drawn in ((museum, before), (more, after)))
    for left in one.paths:
        right = other.path(left.path)
        if left.path != mine:
            assert left.cost == right.cost and left.off_site_days == right.off_site_days
    if table in ("risks", "cost_lines"):
        assert one.path(mine).cost != other.path(mine).cost
