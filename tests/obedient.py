"""A committee that does what the printed decision says, and knows nothing else.

It is handed the ``decision`` of ``compare --format json`` and the calendars, and a world: in each trial how long each task
lasts, what each line and risk costs and whether each gate is refused. It reads no other answer of the package.
"""

import datetime as dt

import numpy as np

from heritagemove.trials import durations, simulation
from heritagemove.trials.seasons import calendar_of

NEVER = 10**9


class World:
    """What happens on one path in each trial, whoever follows it and whenever."""

    def __init__(self, museum, result, samples):
        self.path, self.rows = result.path, museum.of_path("tasks", result.path)
        self.days = durations.working_days(museum, result.path, result.work, samples)
        self.open = {}
        for row in self.rows:
            calendar = calendar_of(museum, result.path, row.calendar, result.work, samples)
            variants = np.atleast_2d(calendar.before)
            which = getattr(calendar, "variant", np.zeros(samples.trials, int))
            opened = [np.flatnonzero(np.diff(variant)) for variant in variants]
            self.open[row.task] = opened, which
        pays = {row.fund: (row.earliest - museum.scenario.start).days for row in museum.funds}
        self.not_before = {
            row.task: pays[row.fund]
            for row in self.rows
            if row.fund in pays and result.work.applies(row.needs, stage=row.stage)
        }
        self.gates = {
            f.gate.gate: (f.gate.task, samples.known("gates", f.gate.gate).value < f.refusal)
            for f in result.findings
            if f.status == "open" and f.refusal > 0
        }
        self.heavy, self.unmet = result.work.too_heavy, result.work.unmet
        priced = simulation.simulate(museum, result.path, result.work, samples)
        self.paid = [(entry.line.task, entry.line.payment, entry.cost_usd) for entry in priced.lines]
        self.paid += [(priced.risk_tasks[risk], "on_finish", usd) for risk, usd in priced.risk_cost_usd.items()]
        self.paid = [(task, payment, np.broadcast_to(usd, samples.trials)) for task, payment, usd in self.paid]
        self.value = priced.agreed_value_usd or 0.0
        named = {name: row.task for row in self.rows for name in row.milestone}
        self.decision, self.leaves = named.get("decision"), named.get("leaves", named.get("off_site"))
        self.gone_on_first_day = "leaves" in named


class Committee:
    """Obeys one decision in every trial of a world."""

    def __init__(self, museum, told, worlds, holdover):
        self.museum, self.told, self.worlds, self.holdover = museum, told, worlds, holdover
        self.start = museum.scenario.start
        self.deadline, self.forced = self.day(museum.scenario.deadline), self.day(museum.scenario.forced_scrap)

    def day(self, date):
        date = dt.date.fromisoformat(date) if isinstance(date, str) else date
        return (date - self.start).days

    def obey(self, trial):
        """Return whether the unit is off the site in time, and what it cost."""
        told = self.told
        meeting = None if told["decide_on"] is None else self.day(told["decide_on"])
        turn = {path["path"]: path["on_refusal"] for path in told["fallbacks"]}
        path, begins, cost, done, had, begun = told["path"], 0, 0.0, set(), set(), {}
        for step in range(3):
            world = self.worlds[path]
            ready, finish, off_site = self.dates(world, trial, begins, done, meeting if step == 0 else None, begun)
            ends, why = self.first_refusal(world, trial, ready, finish)
            if step == 0 and told["switch_on"] is not None:
                last = self.day(told["switch_on"])
                answered = finish[world.gates[told["hinge"]["gate"]][0]] - 1 <= last
                if not answered and off_site > last and ends > last + 1:
                    ends, why = last + 1, told["hinge"]["gate"]
            if step == 0 and told.get("hedge"):
                paid, beside = self.beside(world, trial, finish, off_site, ends, why)
                cost += paid
            if why is None:
                cost += sum(float(usd[trial]) for task, _, usd in world.paid if task not in done)
                cost += max(min(off_site, self.forced) - self.deadline, 0) * self.holdover[trial]
                return off_site <= self.deadline, cost + world.value * (off_site > self.forced)
            cost += self.sunk(world, trial, ready, finish, ends, done)
            following = told["on_refusal"][why] if step == 0 else turn.get(path) if step == 1 else None
            if following is None:
                return False, cost + (self.forced - self.deadline) * self.holdover[trial] + world.value
            had |= {(row.task, row.title) for row in world.rows if finish[row.task] <= ends}
            begun = {}
            if step == 0 and told.get("hedge"):
                rows = [row for row in self.worlds[told["hedge"]["path"]].rows if row.task in beside]
                had |= {(row.task, row.title) for row in rows if beside[row.task] <= ends}
                begun = beside if following == told["hedge"]["path"] else {}
            path, begins = following, ends
            done = {row.task for row in self.worlds[path].rows if (row.task, row.title) in had and not row.milestone}
            done |= set(begun)
        raise AssertionError("a third fallback")

    def beside(self, chosen, trial, finish, off_site, ends, why):
        """Return what is paid for what is begun beside the path, and the finish of each of its tasks."""
        told, world = self.told["hedge"], self.worlds[self.told["hedge"]["path"]]
        begins = finish[chosen.decision] if chosen.decision else 0
        if begins >= ends:
            return 0.0, {}
        rows = [row for row in world.rows if row.task in told["tasks"]]
        ready, finished = {}, {}
        for row in rows:
            ready[row.task] = max((finished[before] for before in row.after if before in told["tasks"]), default=begins)
            days, (variants, which) = int(world.days[row.task][trial]), world.open[row.task]
            at_work = variants[which[trial]]
            end = int(at_work[int(np.searchsorted(at_work, ready[row.task])) + days - 1]) + 1 if days else ready[row.task]
            finished[row.task] = end
        turning = [gate for gate, path in self.told["on_refusal"].items() if path == told["path"]]
        paid = [(task, payment, usd) for task, payment, usd in world.paid if task in told["tasks"]]
        if why in turning:
            return sum(float(usd[trial]) for _, _, usd in paid), finished
        if why is None:
            ends = max(off_site + 1 if gate == "as_found" else finish[chosen.gates[gate][0]] for gate in turning)
        return self.due(paid, trial, ready, finished, ends, set()), finished

    def dates(self, world, trial, begins, done, meeting, begun):
        ready, finish, off_site = {}, {}, NEVER
        waiting = list(world.rows)
        while waiting:
            row = next(row for row in waiting if all(before in finish for before in row.after))
            waiting.remove(row)
            ready[row.task] = max((finish[before] for before in row.after), default=begins)
            days = 0 if row.task in done else int(world.days[row.task][trial])
            variants, which = world.open[row.task]
            at_work = variants[which[trial]]
            first = int(np.searchsorted(at_work, ready[row.task]))
            end = int(at_work[first + days - 1]) + 1 if days else ready[row.task]
            finish[row.task] = max(end, world.not_before.get(row.task, 0), begun.get(row.task, 0))
            if row.task == world.decision and meeting is not None:
                finish[row.task] = max(finish[row.task], meeting + 1)
            if row.task == world.leaves:
                off_site = finish[row.task] - 1
                if world.gone_on_first_day:
                    off_site = int(at_work[first]) if days else ready[row.task] - 1
        return ready, finish, off_site

    @staticmethod
    def first_refusal(world, trial, ready, finish):
        ends, why = NEVER, None
        for gate, (task, refused) in world.gates.items():
            if refused[trial] and finish[task] < ends:
                ends, why = finish[task], gate
        found = [(world.heavy, world.leaves), (world.unmet, world.decision or world.leaves)]
        for stopped, task in found:
            if stopped is not None and stopped[trial] and ready[task] < ends:
                ends, why = ready[task], "as_found"
        return ends, why

    def sunk(self, world, trial, ready, finish, ends, done):
        """Return what is paid of a path by the morning on which it is left."""
        return self.due(world.paid, trial, ready, finish, ends, done)

    @staticmethod
    def due(paid, trial, ready, finish, ends, done):
        spent = 0.0
        for task, payment, usd in paid:
            if payment == "later" or task in done:
                continue
            usd = float(usd[trial])
            at_start = {"on_start": 1.0, "half_deposit": 0.5}.get(payment, 0.0)
            spent += at_start * usd * (ready[task] < ends) + (1 - at_start) * usd * (finish[task] <= ends)
        return spent


def obeyed(museum, comparison, seed, trials=2000, told=None):
    """Return whether each trial of a world drawn with another seed is in time, and its cost."""
    from heritagemove.compare.comparison import compare_paths
    from heritagemove.trials.draws import draw

    told = told or comparison.as_json()["decision"]
    samples = draw(museum, seed=seed, trials=trials)
    drawn = compare_paths(museum, comparison.vehicle, dict(comparison.settings), samples)
    paths = {told["path"], *filter(None, told["on_refusal"].values())}
    paths |= {told["hedge"]["path"]} if told.get("hedge") else set()
    paths |= {row["on_refusal"] for row in told["fallbacks"] if row["on_refusal"]}
    worlds = {path: World(drawn.museum, drawn.path(path), samples) for path in paths}
    committee = Committee(drawn.museum, told, worlds, samples.rates[museum.scenario.holdover_rate, None])
    found = [committee.obey(trial) for trial in range(trials)]
    return np.array([in_time for in_time, _ in found]), np.array([cost for _, cost in found])
