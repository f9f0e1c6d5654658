"""One trial at a time, as a first program would do it: plain Python, a simulation of processes, a graph library.

Each takes the numbers of a trial that the package drew, so that its answer must be the same in every trial.
"""

from dataclasses import dataclass

import numpy as np

from heritagemove.trials.seasons import calendar_of


@dataclass
class Inputs:
    """One path of one trial: days, predecessors and open days of each task, and what is paid whatever the dates."""

    days: dict
    after: dict
    is_open: dict
    leaves: str | None
    paid: float
    daily: list
    deadline: int
    forced: int
    holdover: float
    loss: float


def inputs_of(comparison, result, trial):
    """Return one trial of one path in plain numbers."""
    museum, samples, path, needs = comparison.museum, comparison.samples, result.path, result.work
    day = {name: (date - museum.scenario.start).days for name, date in (
        ("deadline", museum.scenario.deadline), ("forced", museum.scenario.forced_scrap))}  # fmt: skip

    def amount(name):
        return float(np.broadcast_to(needs.amounts[name], samples.trials)[trial])

    risks = [row for row in museum.of_path("risks", path) if row.needs is None or np.any(needs.amounts[row.needs])]
    days, after, is_open = {}, {}, {}
    for row in museum.of_path("tasks", path):
        own = samples.tasks[path, row.task][trial]
        way = sum(each * amount(driver) for driver, each in row.added_days if driver in ("road_days", "rail_days"))
        own += sum(each * amount(driver) for driver, each in row.added_days) - way
        own *= samples.overruns[path, row.task][trial] if (path, row.task) in samples.overruns else 1
        own += way
        own += sum(result.trials.risks[r.risk].delay_days[trial] for r in risks if r.task == row.task and not r.stretches)
        days[row.task], after[row.task] = round(own), row.after
        calendar = calendar_of(museum, path, row.calendar, needs, samples)
        before = calendar.before[calendar.variant[trial]] if hasattr(calendar, "variant") else calendar.before
        is_open[row.task] = (np.diff(before) > 0).tolist()
    paid, daily = sum(result.trials.risks[row.risk].cost_usd[trial] for row in risks), []
    for line in result.trials.lines:
        task_days = days[line.line.task]
        if "task_days" in (line.line.driver, line.line.times) and task_days:
            daily.append((line.line.task, line.cost_usd[trial] / task_days))
        else:
            paid += line.cost_usd[trial]
    leaving = next((row for row in museum.of_path("tasks", path) if {"leaves", "off_site"} & {*row.milestone}), None)
    leaves = leaving and leaving.task
    if leaving and "leaves" in leaving.milestone:  # the first day of it, as a task of its own that nothing waits for
        days["left"], after["left"], is_open["left"] = min(days[leaves], 1), leaving.after, is_open[leaves]
        leaves = "left"
    holdover = float(samples.rates[museum.scenario.holdover_rate, None][trial])
    loss = (needs.amounts.get("insured_value") or 0.0) if result.saves else 0.0
    return Inputs(days, after, is_open, leaves, float(paid), daily, day["deadline"], day["forced"], holdover, loss)


def finish_of(is_open, day, days):
    """Walk through the days of a calendar one by one."""
    while days > 0:
        days -= is_open[day]
        day += 1
    return day


def total(inputs, finish):
    """Return the cost [USD] and the day off the site."""
    cost = inputs.paid
    for task, each in inputs.daily:
        cost += each * inputs.days[task]
    if inputs.leaves is None:
        return cost, None
    off_site = finish[inputs.leaves] - 1
    cost += max(min(off_site, inputs.forced) - inputs.deadline, 0) * inputs.holdover
    return cost + (inputs.loss if off_site > inputs.forced else 0.0), off_site


def by_loop(inputs):
    """Date the tasks in a plain loop."""
    finish, waiting = {}, list(inputs.days)
    while waiting:
        for task in list(waiting):
            if all(before in finish for before in inputs.after[task]):
                begin = max((finish[before] for before in inputs.after[task]), default=0)
                finish[task] = finish_of(inputs.is_open[task], begin, inputs.days[task])
                waiting.remove(task)
    return total(inputs, finish)


def by_simpy(inputs):
    """Let each task be a process that waits for others."""
    import simpy

    world, processes, finish = simpy.Environment(), {}, {}

    def work(task):
        yield simpy.AllOf(world, [processes[before] for before in inputs.after[task]])
        begin = int(world.now)
        yield world.timeout(finish_of(inputs.is_open[task], begin, inputs.days[task]) - begin)
        finish[task] = int(world.now)

    waiting = list(inputs.days)
    while waiting:
        for task in list(waiting):
            if all(before in processes for before in inputs.after[task]):
                processes[task] = world.process(work(task))
                waiting.remove(task)
    world.run()
    return total(inputs, finish)


def by_networkx(inputs):
    """Date the tasks along a graph's topological order."""
    import networkx

    graph = networkx.DiGraph()
    graph.add_nodes_from(inputs.days)
    graph.add_edges_from((before, task) for task, waits_for in inputs.after.items() for before in waits_for)
    finish = {}
    for task in networkx.topological_sort(graph):
        begin = max((finish[before] for before in graph.predecessors(task)), default=0)
        finish[task] = finish_of(inputs.is_open[task], begin, inputs.days[task])
    return total(inputs, finish)
