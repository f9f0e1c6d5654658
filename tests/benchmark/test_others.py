"""The same work by other means, each with the same answer: a loop, two libraries, a sampler, a spreadsheet."""

import itertools
import random
import shutil
import subprocess

import numpy as np
import one_trial
import pytest
from measuring import TRIALS, VEHICLE, best, children_seconds

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.memo import Memo
from heritagemove.trials import durations, simulation
from heritagemove.trials.sampling import bounds_from_p10_p90
from heritagemove.trials.schedule import Calendar
from heritagemove.trials.seasons import calendar_of, calendars_of
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.benchmark
SHOWN = 60


@pytest.fixture(scope="module")
def move(museum, drawn):
    """Return the time of one slider move of ours, all paths, gates and fallbacks [s]."""
    memo, hours = Memo(), itertools.count(20)

    def again():
        compare_paths(museum, VEHICLE, {"crane_hours": next(hours)}, drawn, memo)

    again()
    return best(again, 8)


@pytest.mark.parametrize(("name", "target", "bound"), [("loop", 4000, 30), ("simpy", 7000, 50), ("networkx", 7000, 50)])
def test_one_trial_at_a_time(compared, move, record, name, target, bound):
    pytest.importorskip({"loop": "random"}.get(name, name))
    work = getattr(one_trial, f"by_{name}")
    priced = [result for result in compared.paths if result.cost is not None]
    trials = [[one_trial.inputs_of(compared, result, trial) for trial in range(SHOWN)] for result in priced]
    inputs = sum(len(r.trials.dates.finish) + len(r.trials.lines) + 2 * len(r.trials.risk_cost_usd) for r in priced)

    def draws():
        return [1 + 8 * random.betavariate(1.5, 4.5) for _ in range(inputs)]

    def all_trials():
        for _ in range(SHOWN):
            draws()
        return [[work(each) for each in path] for path in trials]

    seconds = best(all_trials, 2) / SHOWN
    for result, path in zip(priced, all_trials(), strict=True):
        costs = np.array([cost for cost, _ in path])
        assert costs == pytest.approx(result.trials.cost_usd[:SHOWN], rel=1e-9)
        if result.trials.off_site is not None:
            assert [day for _, day in path] == result.trials.off_site[:SHOWN].tolist()
        assert within_sampling_error(costs, result.trials.cost_usd)
    what = f"{name}, {seconds * 1000:.2f} ms a trial of all paths, times slower than a slider move"
    record(what, seconds * TRIALS / move, target, bound, at_most=False)


def within_sampling_error(few, all_of_them, share=0.8):
    """Say whether the P80 of a few lies where that many draws may put it, at 99.9 per cent."""
    spread = 3.3 * np.sqrt(share * (1 - share) / len(few))
    low, high = np.quantile(all_of_them, np.clip([share - spread, share + spread], 0, 1))
    return low - 1e-6 <= np.quantile(few, share) <= high + 1e-6


def test_another_sampler_on_first_load(museum, drawn, record):
    openturns = pytest.importorskip("openturns")
    openturns.TBB.Disable()  # one thread, as ours
    rows = [row for table in (museum.rates, museum.tasks) for row in table if row.high > row.low]

    def beta(row):
        low, likely, high = row.low, row.likely, row.high
        if row.range == "p10_p90":
            low, high = bounds_from_p10_p90(low, likely, high)
        alpha, other = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
        return openturns.Beta(alpha, other, low, high)

    def sample():
        joint = openturns.JointDistribution([beta(row) for row in rows])
        return np.array(openturns.LHSExperiment(joint, TRIALS).generate())

    theirs = best(sample, 1)
    only = museum.with_changes(risks=(), quantities=(), gates=())
    ours = best(lambda: draw(only, trials=TRIALS), 2)
    found = sample()
    for number, row in list(enumerate(rows))[::40]:
        key = (row.rate, row.equipment) if hasattr(row, "rate") else (row.path, row.task)
        mine = (drawn.rates if hasattr(row, "rate") else drawn.tasks)[key]
        assert within_sampling_error(found[:, number], mine)
    record(f"openturns, {len(rows)} inputs, times slower to draw", theirs / ours, 3, 0.5, at_most=False)


CALC_TRIALS = 2000
#: Days of the calendars that the spreadsheet looks up.
SPAN = 2000


def workbook(file, museum, result, samples, live):
    """Write one path as a spreadsheet: a row a trial of frozen draws, then the dates and the cost as formulas."""
    from openpyxl import Workbook
    from openpyxl.utils import get_column_letter as letter

    path, tasks = result.path, museum.of_path("tasks", result.path)
    book = Workbook(write_only=True)
    sheet, days_sheet = book.create_sheet("trials"), book.create_sheet("calendars")
    names = sorted({row.calendar for row in tasks})
    works = {name: calendar_of(museum, path, name, result.work, samples) for name in names}
    for day in range(SPAN):
        row = []
        for name in names:
            before, done = works[name].before, works[name].done
            row += [int(before[day]), int(done[day]) if day < len(done) else None]
        days_sheet.append(row)
    worked = durations.working_days(museum, path, result.work, samples)
    place = {row.task: letter(3 + len(tasks) + number) for number, row in enumerate(tasks)}
    for trial in range(CALC_TRIALS):
        at = trial + 1
        days = [int(worked[row.task][trial]) for row in tasks]
        dates = []
        for number, row in enumerate(tasks):
            begin = f"MAX(0,{','.join(place[b] + str(at) for b in row.after)})" if row.after else "0"
            length = f"{letter(3 + number)}{at}"
            before, done = (f"calendars!${c}$1:${c}${SPAN}" for c in map(letter, columns_of(row, names)))
            look = f"INDEX({done},INDEX({before},{begin}+1)+{length}+1)"
            dates.append(f"=IF({length}>0,{look},{begin})" if live else 0)
        prices, formulas = [], []
        first = 3 + 2 * len(tasks)
        for number, entry in enumerate(result.trials.lines):
            quantity = float(np.broadcast_to(entry.quantity, samples.trials)[trial])
            prices += [float(entry.cost_usd[trial]) / (quantity or 1.0), quantity]
            formulas.append(f"{letter(first + 2 * number)}{at}*{letter(first + 2 * number + 1)}{at}")
        for cost in result.trials.risk_cost_usd.values():
            prices.append(float(cost[trial]))
            formulas.append(f"{letter(first + len(prices) - 1)}{at}")
        late = f"MAX(MIN({place[leaves_of(tasks)]}{at}-1,{forced(museum)})-{deadline(museum)},0)"
        prices.append(float(samples.rates[museum.scenario.holdover_rate, None][trial]))
        formulas.append(f"{late}*{letter(first + len(prices) - 1)}{at}")
        off_site = f"={place[leaves_of(tasks)]}{at}-1"
        sheet.append(["=" + "+".join(formulas) if live else 0, off_site if live else 0, *days, *dates, *prices])
    book.save(file)


def columns_of(row, names):
    """Return the columns of a task's calendar: working days before each morning, and the morning after each of them."""
    first = 1 + 2 * names.index(row.calendar)
    return first, first + 1


def leaves_of(tasks):
    return next(row.task for row in tasks if {"leaves", "off_site"} & {*row.milestone})


def deadline(museum):
    return simulation.day_number(museum, museum.scenario.deadline)


def forced(museum):
    return simulation.day_number(museum, museum.scenario.forced_scrap)


def test_a_spreadsheet_with_frozen_draws(museum, drawn, compared, record, tmp_path):
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("no soffice found")
    result = compared.path("freight_wheelsets")
    # A season that differs from trial to trial is beyond a plain sheet; losses do not occur on this path.
    names = [row.calendar for row in museum.of_path("tasks", result.path)]
    made = calendars_of(museum, result.path, names, result.work, drawn)
    assert all(isinstance(each.value, Calendar) for each in made)
    assert not result.trials.loss_usd.any()
    seconds = {}
    for name, live in (("values", False), ("formulas", True)):
        workbook(tmp_path / f"{name}.xlsx", museum, result, drawn, live)
        home = f"-env:UserInstallation=file://{tmp_path}/office"
        file = str(tmp_path / f"{name}.xlsx")
        command = [office, home, "--headless", "--convert-to", "csv", "--outdir", str(tmp_path), file]
        if not seconds:
            subprocess.run(command, check=True, capture_output=True, timeout=180)  # its first start sets up a home
        begun = children_seconds()
        for _ in range(3):
            subprocess.run(command, check=True, capture_output=True, timeout=180)
        seconds[name] = (children_seconds() - begun) / 3
    found = np.genfromtxt(tmp_path / "formulas.csv", delimiter=",", usecols=(0, 1))
    np.testing.assert_allclose(found[:, 1], result.trials.off_site[:CALC_TRIALS])
    np.testing.assert_allclose(found[:, 0], result.trials.cost_usd[:CALC_TRIALS], rtol=1e-6)
    assert within_sampling_error(found[:, 0], result.trials.cost_usd)
    ours = best(lambda: simulation.simulate(museum, result.path, result.work, drawn)) / TRIALS
    theirs = (seconds["formulas"] - seconds["values"]) / CALC_TRIALS
    record("spreadsheet, frozen draws, one path, times slower a trial", theirs / ours, 100, 5, at_most=False)
