"""The risk engine once more, written plainly from its description: one statement a rule, numpy's own calendars.

It shares the draws, the engineering checks' answers and the choice of fallback with the package, and nothing else: no
look-up tables, nothing taken over from a comparison before. What it says of costs and dates must be the same.
"""

from dataclasses import dataclass

import numpy as np

from heritagemove.trials.seasons import calendar_of

NEVER = np.iinfo(np.int64).max


@dataclass
class Trials:
    """One path: cost [USD], day off the site, each task's ready and finish day, each line's cost, where blocked."""

    cost: np.ndarray
    off_site: np.ndarray | None
    closed: np.ndarray
    ready: dict
    finish: dict
    lines: list
    risks: list
    too_heavy: np.ndarray | None


@dataclass
class Answer:
    """What a table shows of one path; each spread is P10, P50, P80, P90."""

    cost: np.ndarray
    off_site: np.ndarray | None
    chance_by_deadline: float | None
    chance_of_gates: float | None
    cost_with_fallback: np.ndarray | None
    chance_with_fallback: float | None


class ReferenceEngine:
    """Prices and dates the paths of one unit from a comparison's checks and draws."""

    def __init__(self, comparison):
        self.museum, self.samples = comparison.museum, comparison.samples
        self.start = np.datetime64(self.museum.scenario.start)
        self.deadline = self.day(self.museum.scenario.deadline)
        self.forced = self.day(self.museum.scenario.forced_scrap)
        self.comparison = comparison
        self.calendars = {}

    def day(self, date):
        return int((np.datetime64(date) - self.start).astype(int))

    def answers(self):
        """Return the answer of every path, by id."""
        return {result.path: self.answer(result) for result in self.comparison.paths if result.cost is not None}

    def answer(self, result):
        trials = self.trials(result.path, result.work, 0)
        cost = np.percentile(trials.cost, (10, 50, 80, 90))
        if trials.off_site is None:
            return Answer(cost, None, None, gates_met(result), None, None)
        dates, chance = np.percentile(trials.off_site, (10, 50, 80, 90)), np.mean(trials.off_site <= self.deadline)
        if result.branch is None:
            return Answer(cost, dates, chance, gates_met(result), None, None)
        with_fallback, off_site, saved = self.play_gates(result, trials)
        return Answer(
            cost,
            dates,
            chance,
            gates_met(result),
            np.percentile(with_fallback, (10, 50, 80, 90)),
            np.mean(saved & (off_site <= self.deadline)),
        )

    def trials(self, path, needs, start):
        """Price and date one path that begins on a day of each trial."""
        count, rows = self.samples.trials, {table: self.rows(table, path) for table in ("tasks", "cost_lines", "risks")}
        risks = [row for row in rows["risks"] if row.needs is None or not is_nothing(amount_of(row.needs, needs, row))]
        days, ready, finish = {}, {}, {}
        for row in rows["tasks"]:
            if row.needs is not None and is_nothing(amount_of(row.needs, needs, row)):
                days[row.task] = np.zeros(count, dtype=int)
                continue
            own = self.samples.tasks[path, row.task].astype(float)
            added = {driver: each * amount_of(driver, needs, row) for driver, each in row.added_days}
            way = sum(days for driver, days in added.items() if driver in ("road_days", "rail_days"))
            work = own + sum(added.values()) - way
            if (path, row.task) in self.samples.overruns:
                work = np.maximum(work * self.overrun(path, row), np.minimum(work, 1))  # a day's work takes a day
            own = work + way
            for risk in risks:
                if risk.task == row.task and not risk.stretches and risk.delay_high > 0:
                    own = own + self.struck(risk, needs)[1]
            days[row.task] = np.rint(own).astype(int)
        waiting = list(rows["tasks"])
        while waiting:
            row = next(row for row in waiting if all(before in finish for before in row.after))
            waiting.remove(row)
            begin = np.broadcast_to(start, (count,)).astype(int)
            for before in row.after:
                begin = np.maximum(begin, finish[before])
            ready[row.task] = begin
            finish[row.task] = self.work_until(path, row.calendar, needs, begin, days[row.task])
            if row.fund is not None:
                pays = next(fund.earliest for fund in self.museum.funds if fund.fund == row.fund)
                finish[row.task] = np.maximum(finish[row.task], (pays - self.museum.scenario.start).days)
        leaves = [row for row in rows["tasks"] if {"leaves", "off_site"} & {*row.milestone}]
        off_site = None
        if leaves:
            lasting = days[leaves[0].task]
            counted = np.minimum(lasting, 1) if "leaves" in leaves[0].milestone else lasting
            off_site = self.work_until(path, leaves[0].calendar, needs, ready[leaves[0].task], counted) - 1
        lines = [(row, self.line_cost(row, needs, days, finish)) for row in rows["cost_lines"]]
        if self.museum.scenario.simulation.estimating_error:
            lines = [(row, cost if cost is None else cost * self.off_by(path, row)) for row, cost in lines]
        lines = [(row, cost) for row, cost in lines if cost is not None]
        cost = sum((cost for _, cost in lines), np.zeros(count))
        for risk in risks:
            cost = cost + self.struck(risk, needs)[0]
        if off_site is not None:
            cost = cost + self.lateness(path, needs, off_site)
        too_heavy = None
        if needs.too_heavy is not None and leaves:
            too_heavy = np.where(needs.too_heavy, ready[leaves[0].task], NEVER)
        closed = np.max(list(finish.values()), axis=0) - 1
        struck = [(risk.task, self.struck(risk, needs)[0]) for risk in risks]
        return Trials(cost, off_site, closed, ready, finish, lines, struck, too_heavy)

    def struck(self, risk, needs):
        """Return cost [USD] and delay [working day] of a risk, counted for as many as the path has."""
        drawn = self.samples.risks[risk.path, risk.risk]
        if risk.for_each is None:
            return drawn.cost_usd, drawn.delay_days
        one = risk.mitigated_probability if risk.bought else risk.probability
        happens = drawn.share < 1 - (1 - one) ** amount_of(risk.for_each, needs, risk)
        paid = float(risk.mitigation_cost) if risk.bought else 0.0
        return drawn.impact_usd * happens + paid, drawn.impact_days * happens

    def overrun(self, path, task):
        """Return the factor on a task's days; the demo has neither booked tasks nor dates on record."""
        on, behind, before = self.museum.scenario.simulation.estimating_error, False, [*task.after]
        while before:
            name = before.pop()
            row = next(row for row in self.rows("tasks", path) if row.task == name)
            behind |= "decision" in row.milestone
            before += row.after
        waits = task.waits_for_others or task.fund or task.for_each
        acts = on and behind and not waits
        return np.exp(self.error("time") * self.samples.errors[path]) if acts else 1.0

    def off_by(self, path, line):
        """Return the factor on a cost line; the demo's tables hold no quote that is given by their date."""
        (task,) = [row for row in self.rows("tasks", path) if row.task == line.task]
        if {"task_days", "days_over"} & {line.driver, line.times} and not np.isscalar(self.overrun(path, task)):
            return 1.0
        return np.exp(np.sign(line.factor) * self.error("money") * self.samples.errors[path])

    def error(self, name):
        return next(row.value for row in self.museum.estimating_errors if (row.error, row.quoted) == (name, 0))

    def rows(self, table, path):
        return [row for row in getattr(self.museum, table) if row.path == path]

    def work_until(self, path, calendar, needs, begin, days):
        """Return the morning after so many working days."""
        if (path, calendar) not in self.calendars:
            works = calendar_of(self.museum, path, calendar, needs, self.samples)
            variant = getattr(works, "variant", np.zeros(self.samples.trials, dtype=int))
            open_days = np.diff(np.atleast_2d(works.before)) > 0
            self.calendars[path, calendar] = variant, [busy(days, self.start) for days in open_days]
        variant, calendars = self.calendars[path, calendar]
        found = np.empty(len(days), dtype=int)
        for number, each in enumerate(calendars):
            found[variant == number] = finished(each, self.start, begin[variant == number], days[variant == number])
        return found

    def line_cost(self, row, needs, days, finish):
        quantity = row.factor
        for name in (row.driver, row.times):
            if name is None:
                continue
            amount = days[row.task] if name == "task_days" else amount_of(name, needs, row)
            if name == "days_over":
                task = next(each for each in self.rows("tasks", row.path) if each.task == row.task)
                likely = task.likely + sum(each * amount_of(driver, needs, task) for driver, each in task.added_days)
                amount = np.maximum(days[row.task] - np.rint(likely), 0)
            if name == row.driver:
                amount = np.maximum(np.maximum(amount - (row.above or 0.0), 0.0), row.at_least or 0.0)
            quantity = quantity * amount
        quantity = np.broadcast_to(quantity, (self.samples.trials,)).astype(float)
        cost = self.charge(row, quantity, needs, needs.equipment, finish)
        if cost is None:
            return None
        for equipment, trials in needs.other_equipment:
            other = self.charge(row, quantity, needs, equipment, finish)
            if other is not None:
                cost = np.where(trials, other, cost)
        gifts = [gift for gift in self.museum.donations if (gift.path, gift.line) == (row.path, row.line)]
        gifts = {gift.vehicle: gift.share for gift in gifts}
        return cost * (1 - gifts.get(self.comparison.vehicle, gifts.get("any", 0.0)))

    def charge(self, row, quantity, needs, equipment, finish):
        """Return what a line costs with some equipment: least hire, weight, tax, and the price level of its year."""
        rates = [rate for rate in self.museum.rates if rate.rate == row.rate]
        own = {each for each in equipment if f"{each}@{row.stage}" in equipment}
        for_any = [rate for rate in rates if rate.equipment is None]
        fitting = for_any or [rate for rate in rates if rate.equipment in (own or equipment)]
        if not fitting:
            return None
        each = max(fitting, key=lambda rate: rate.likely).equipment
        fitting = [rate for rate in fitting if rate.equipment == each]
        rate = fitting[0]
        if rate.least is not None:
            least = rate.least * (amount_of(rate.least_for, needs, row) if rate.least_for else 1)
            quantity = np.where(quantity > 0, np.maximum(quantity, least), quantity)
        price = self.at_weight(row, fitting, needs) if rate.at_weight else self.samples.rates[rate.rate, each]
        price = price * self.samples.conversions[row.path, row.line, each]
        if rate.tax and row.factor > 0:
            price = price * (1 + next(tax.share.m_as("") for tax in self.museum.taxes if tax.tax == rate.tax))
        if rate.price_index and rate.basis != "quote":
            index = {entry.year: entry.value for entry in self.museum.price_indexes if entry.price_index == rate.price_index}
            years = (self.start + (finish[row.task] - 1)).astype("datetime64[Y]").astype(int) + 1970
            price = price * np.array([index[year] / index[rate.price_year] for year in years])
        return price * quantity

    def at_weight(self, row, rates, needs):
        """Return the price at the load's weight, trial by trial, straight between rows on logarithmic scales."""
        tons = np.broadcast_to(amount_of(row.load_weight or "body_weight", needs, row), (self.samples.trials,))
        rates = sorted(rates, key=lambda rate: rate.at_weight)
        pounds = [rate.at_weight.m_as("lb") for rate in rates]
        draws = [self.samples.rates[rate.rate, rate.equipment, rate.at_weight.m_as("lb")] for rate in rates]
        return np.array([
            np.exp(np.interp(np.log(2000 * tons[n]), np.log(pounds), np.log([each[n] for each in draws])))
            for n in range(self.samples.trials)
        ])  # fmt: skip

    def lateness(self, path, needs, off_site):
        holdover = np.clip(off_site, self.deadline, max(self.forced, self.deadline)) - self.deadline
        cost = holdover * self.samples.rates[self.museum.scenario.holdover_rate, None]
        if self.museum.path(path).saves:
            cost = cost + np.where(off_site > self.forced, needs.amounts.get("insured_value") or 0.0, 0.0)
        return cost

    def play_gates(self, result, trials):
        """Play the gates: what is spent by a refusal, then the fallback from that day, then the loss."""
        left = (self.forced - self.deadline) * self.samples.rates[self.museum.scenario.holdover_rate, None]
        left = left + (result.work.amounts.get("insured_value") or 0.0)
        refused, day = self.refusals(result, trials)
        cost = np.where(refused, spent(trials, day), trials.cost)
        saved = ~refused & (trials.off_site <= self.forced)
        off_site = np.where(refused, NEVER, trials.off_site)
        if result.branch.fallback is None or not refused.any():
            return cost + refused * left, off_site, saved
        second_result = self.comparison.path(result.branch.fallback)
        second = self.trials(second_result.path, second_result.work, np.where(refused, day, 0))
        again, second_day = self.refusals(second_result, second)
        then = np.where(again, spent(second, second_day) + left, second.cost)
        cost = np.where(refused, cost + then, cost)
        off_site = np.where(refused, np.where(again, NEVER, second.off_site), off_site)
        return cost, off_site, np.where(refused, ~again & (second.off_site <= self.forced), saved)

    def refusals(self, result, trials):
        day = np.full(self.samples.trials, NEVER) if trials.too_heavy is None else trials.too_heavy
        for finding in result.findings:
            if finding.status == "open" and finding.refusal > 0:
                refused = self.samples.gates[finding.gate.gate] < finding.refusal
                day = np.where(refused, np.minimum(day, trials.finish[finding.gate.task]), day)
        return day < NEVER, np.where(day < NEVER, day, 0)


def busy(is_open, start):
    closed = start + np.flatnonzero(~is_open)
    return np.busdaycalendar(weekmask="1111111", holidays=closed)


def finished(calendar, start, begin, days):
    last = np.busday_offset(start + begin, np.maximum(days - 1, 0), roll="forward", busdaycal=calendar)
    return np.where(days > 0, (last - start).astype(int) + 1, begin)


def amount_of(driver, needs, row):
    """Return how much of a driver a row asks for: that of its own stage where the path has several, else the path's."""
    return needs.amounts.get(f"{driver}@{row.stage}", needs.amounts.get(driver))


def is_nothing(amount):
    return amount is not None and not np.any(np.asarray(amount) > 0)


def gates_met(result):
    hard = [finding.status for finding in result.findings if finding.gate.kind == "hard_stop"]
    if "fail" in hard:
        return 0.0
    if "unknown" in hard:
        return None
    return float(np.prod([1 - finding.refusal for finding in result.findings]) * (1 - result.chance_too_heavy))


def spent(trials, day):
    """Return what is paid by a day: on start, half of it on start, on finish, or later; a risk with its task's finish."""
    total = np.zeros(len(day))
    for row, cost in trials.lines:
        started, done = trials.ready[row.task] < day, trials.finish[row.task] <= day
        share = {"on_start": started, "half_deposit": (started + 0.0 + done) / 2, "later": np.zeros(len(day))}
        total = total + cost * share.get(row.payment, done)
    for task, cost in trials.risks:
        total = total + cost * (trials.finish[task] <= day)
    return total
