"""The treasurer's sheets: prices and quantities that may be changed, and what follows from them by formulas.

Cost, budget, payments and balances are quantity times price, cell by cell. What only the trials can tell is a number that
says so: it follows no change here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from heritagemove.answers.budget_steps import budget_steps
from heritagemove.answers.starter_values import starter_sentence
from heritagemove.compare.results import Comparison
from heritagemove.following.commitments import spent_or_signed
from heritagemove.hand_over.sheets import Book, Formula, FromTrials, Input, Sheet
from heritagemove.museum.drivers import DRIVERS, OWN_TASK, driver_of
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity
from heritagemove.units.words import show_date, without_brackets
from heritagemove.whole_site.fleet import Fleet, Option
from heritagemove.whole_site.likely_lines import LikelyLine, LikelySum, likely_lines

#: Where a quantity comes from that no row of a table states, by its driver's origin.
_COUNTED = {
    "unit": "vehicles.csv and axles.csv",
    "route": "legs.csv and stages.csv",
    "check": "counted by the engineering checks",
    "rest": "what is left of other quantities",
}


#: What of a sum does not follow a change of price or quantity in the workbook.
_HELD = "contingency and refusals are constants from the trials: make the workbook anew after a change"
#: What a museum that thinks in SI counts in, by the driver's unit.
_IN_SI = {"mile": "km", "ft": "m", "short_ton": "t", "lb": "kg"}


def _shown_in(comparison: Comparison, driver: str) -> tuple[str, float]:
    """Return the unit that a driver's amount is shown in, and how many of it are one of the driver's own."""
    unit, scenario = DRIVERS[driver].unit, comparison.museum.scenario
    if scenario.units == "SI" and unit in _IN_SI:
        return _IN_SI[unit], Quantity(1.0, unit).m_as(_IN_SI[unit])
    return scenario.currency if unit == "USD" else _plain(unit), 1.0


def made_from(comparison: Comparison) -> str:
    """Return what the trials were made from: day, seed and digest of the tables, and what of them is still the starter's."""
    museum, samples = comparison.museum, comparison.samples
    return (
        f"From the trials: tables as of {show_date(museum.scenario.as_of)}, seed {samples.seed}, {samples.trials:,} trials, "
        f"digest {museum.digest()[:16]}. {starter_sentence(comparison)}"
    ).strip()


@dataclass
class Costed:
    """One unit by one path: its sheet of cost, and the cells that others refer to."""

    comparison: Comparison
    path: str
    sum: LikelySum
    sheet: Sheet
    total: int  # row of the total
    rows: Mapping[str, int] = field(default_factory=dict)  # by line, and by risk as "risk/" with its id


class InputSheet:
    """The sheet of what may be changed, each row once however many lines it prices."""

    def __init__(self, book: Book, museum: Museum) -> None:
        self.sheet = book.sheet("Inputs", ["what", "of", "low", "likely", "high", "unit", "basis", "source", "file", "row"])
        self.sheet.notes = [
            "Change a number on yellow: cost, budget, payments and balances follow. The tables of the museum do not: "
            "change them there as well.",
        ]
        self._currency, self._units, self._known = museum.scenario.currency, museum.scenario.units, {}

    def _cell(self, key: tuple[Any, ...], *cells: Any) -> tuple[str, float]:
        if key not in self._known:
            self._known[key] = self.sheet.add(*cells)
        row = self._known[key]
        return self.sheet.cell(row, "likely"), self.sheet.value(row, "likely")

    def price(self, row: Any) -> tuple[str, float]:
        """Return cell and value of a price of rates.csv."""
        title = row.title if row.at_weight is None else f"{row.title}, at {show_measure(row.at_weight, self._units)}"
        cells = row.low, Input(row.likely), row.high, _plain(row.unit), row.basis, row.source, "rates.csv", row.row_number
        return self._cell(("rate", *row.name), title, "any", *cells)

    def against(self, row: Any, usd: float) -> tuple[str, float]:
        """Return cell and value of what is paid against a risk."""
        cells = "", Input(usd), "", self._currency, row.basis, row.source, "risks.csv", row.row_number
        return self._cell(("risk", row.path, row.risk, usd), row.mitigation, "any", *cells)

    def quantity(self, costed: Costed, line: Any, key: str, amount: float) -> tuple[str, float]:
        """Return cell and value of how much of a driver one unit needs."""
        comparison, driver = costed.comparison, DRIVERS[driver_of(key)]
        name, (unit, each) = unit_called(comparison), _shown_in(comparison, driver.name)
        amount *= each
        if driver.name in OWN_TASK:
            row = next(row for row in costed.sum.trial.museum.of_path("tasks", line.path) if row.task == line.task)
            plain = driver.name == "task_days" and amount == row.likely
            ends = (row.low, row.high) if plain else ("", "")
            what = f"{'Days of' if driver.name == 'task_days' else 'Days beyond the likely ones of'}: {row.title}"
            of = row.basis, row.source, "tasks.csv", row.row_number
            own = (comparison.vehicle, line.path, line.task, driver.name)
            return self._cell(own, what, name, ends[0], Input(amount), ends[1], unit, *of)
        stage = key.partition("@")[2]
        what = driver.meaning + (f", {stage.replace('_', ' ')}" if stage else "")
        said = _said(costed, key)
        ends, of = ("", ""), ("counted", _COUNTED.get(driver.origin, ""), "", "")
        if driver.name in comparison.settings:
            of = "judgment", "set for this comparison", "", ""
        elif said is not None:
            ends, of = (said.low * each, said.high * each), (said.basis, said.source, "quantities.csv", said.row_number)
        of_path = driver.origin in ("route", "check") or (said is not None and said.path != "any")
        own = (comparison.vehicle, key, line.path) if of_path else (comparison.vehicle, key)
        return self._cell((*own, amount), what, name, ends[0], Input(amount), ends[1], unit, *of)


def _said(costed: Costed, key: str) -> Any | None:
    """Return the row of quantities.csv that states an amount of the whole path, if one does."""
    comparison = costed.comparison
    places = [(v, p) for v in ("any", comparison.vehicle) for p in ("any", costed.path)]
    rows = [row for row in costed.sum.trial.museum.quantities if row.driver == key and (row.vehicle, row.path) in places]
    return max(rows, key=lambda row: places.index((row.vehicle, row.path)), default=None)


def cost_sheet(book: Book, inputs: InputSheet, comparison: Comparison, path: str, name: str) -> Costed:
    """Add the sheet of what a path costs at its likely values: quantity times price, line by line, and their sum."""
    money = comparison.museum.scenario.currency
    headings = ["what", "paid", "how many", "of", "times", "factor", "units charged", "unit", f"price [{money}]",
                "tax, unit and rise of prices", "share given", f"likely [{money}]", "row of cost_lines.csv"]  # fmt: skip
    sheet, found = book.sheet(name, headings), likely_lines(comparison, path)
    costed, rows = Costed(comparison, path, found, sheet, 0), {}
    for entry in found.lines:
        rows[entry.line.line] = _cost_row(sheet, inputs, costed, entry, headings)
    for risk, usd, _ in found.mitigations:
        cell, value = inputs.against(risk, usd)
        title = f"Against a risk: {risk.title}"
        blank = ("",) * 8
        rows[f"risk/{risk.risk}"] = sheet.add(title, "on finish", *blank, "", Formula(cell, value), "")
    if found.after_deadline:
        rows["after_deadline"] = sheet.add("Owner's charge, and what is lost, after the deadline", "on finish", *("",) * 9,
                                           found.after_deadline, "")  # fmt: skip
    last = len(sheet.rows) - 1
    total = sheet.total(0, last, headings[-2])
    costed.total = sheet.add("Sum of the likely values: not the mean", *("",) * 10, total, "", bold=True)
    costed.rows = rows
    sheet.notes = [
        "Units charged: factor x how many (less what is not charged, at least the least) x times, at least the minimum "
        "hire. Likely: units charged x price x tax, unit and rise of prices, less the share given."
    ]
    return costed


def _cost_row(sheet: Sheet, inputs: InputSheet, costed: Costed, entry: LikelyLine, headings: Sequence[str]) -> int:
    line, at = entry.line, len(sheet.rows)
    amounts = [inputs.quantity(costed, line, key, amount) for key, amount in entry.amounts]
    cell = {name: sheet.cell(at, heading).rpartition("!")[2].replace("$", "") for name, heading in
            zip(("amount", "times", "factor", "charged", "price", "each", "given"),
                ("how many", "times", "factor", "units charged", headings[8], headings[9], "share given"),
                strict=True)}  # fmt: skip
    each = [_shown_in(costed.comparison, driver_of(key))[1] for key, _ in entry.amounts]
    shown = math.prod(each)
    needed = f"{cell['amount']}-{line.above * each[0]:.12g}" if line.above else cell["amount"]
    needed = f"MAX({needed},{(line.at_least or 0) * each[0]:.12g})"
    charged = f"{cell['factor']}*{needed}*{cell['times']}"
    if entry.least:
        charged = f"IF({charged}>0,MAX({charged},{entry.least * shown:.12g}),{charged})"
    price = _price(inputs, entry)
    second = Formula(*amounts[1]) if len(amounts) > 1 else 1
    unit = next((row.unit for _, rows in entry.prices for row, _ in rows), "")
    of = DRIVERS[line.driver].meaning + (f" x {DRIVERS[line.times].meaning}" if line.times else "")
    return sheet.add(
        line.title,
        line.payment.replace("_", " "),
        Formula(*amounts[0]),
        of,
        second,
        Input(line.factor),
        Formula(charged, entry.charged * shown),
        _counted_in(costed.comparison, entry, unit),
        price,
        Input(entry.usd_each / shown),
        Input(entry.given),
        Formula(f"{cell['charged']}*{cell['price']}*{cell['each']}*(1-{cell['given']})", entry.usd),
        line.row_number,
    )


def _price(inputs: InputSheet, entry: LikelyLine) -> Formula:
    parts, value = [], 0.0
    for weight, rows in entry.prices:
        cells = [(*inputs.price(row), power) for row, power in rows]
        made = "*".join(cell if power == 1 else f"{cell}^{power!r}" for cell, _, power in cells)
        parts.append(made if weight == 1 else f"{weight!r}*{made}")
        value += weight * math.prod(number**power for _, number, power in cells)
    return Formula("+".join(parts), value)


def budget_sheet(book: Book, sheet: Sheet, costed: Costed, fallback: Costed | None) -> None:
    """Fill the budget of one unit: from the likely sum to what the paper asks to set aside, by named lines."""
    steps, comparison = budget_steps(costed.comparison), costed.comparison
    level = f"{100 * steps.confidence:.0f} of 100 cases"
    likely = costed.sheet.value(costed.total, costed.sheet.headings[-2])
    own = costed.sheet.cell(costed.total, costed.sheet.headings[-2])
    lines = sheet.add("Likely values, summed: not the mean", Formula(own, likely), f"sheet {costed.sheet.name}")
    more = steps.nothing_refused_usd - likely
    ranges = sheet.add("Contingency: for ranges, risks and estimates that turn out low", FromTrials(more), "the trials")
    subtotal = sheet.total(lines, ranges, sheet.headings[1])
    nothing = sheet.add(f"Enough in {level} if nothing is refused", subtotal, f"sum of the two; {_HELD}", bold=True)
    refused = steps.set_aside_usd - steps.nothing_refused_usd
    words = "For refusals and the fallback after them" if refused >= 0 else "Less where a refusal ends the work early"
    then = sheet.add(f"{words}, and for the wait for the meeting", FromTrials(refused), "the trials")
    total = sheet.total(nothing, then, sheet.headings[1])
    aside = sheet.add(f"Set aside: enough in {level}, refusals included", total, f"sum of the two; {_HELD}", bold=True)
    usd, last = spent_or_signed(comparison.museum, comparison.vehicle)
    when = f"actuals.csv and quotes.csv, up to {show_date(last)}" if last else "actuals.csv and quotes.csv: nothing yet"
    spent = sheet.add("Of that spent or signed", Input(usd), when)
    left = Formula(f"{sheet.cell(aside, sheet.headings[1])}-{sheet.cell(spent, sheet.headings[1])}", total.value - usd)
    sheet.add("Still free of it", left, "difference", bold=True)
    for case in steps.refused:
        told = f"{case.turns_to}; in {100 * case.share:.0f} of 100 cases"
        sheet.add(f"If refused, on average: {case.title}", FromTrials(case.mean_usd), f"the trials: {told}")
    if fallback:
        heading = fallback.sheet.headings[-2]
        value = Formula(fallback.sheet.cell(fallback.total, heading), fallback.sheet.value(fallback.total, heading))
        sheet.add("The fallback alone, its likely values summed", value, f"sheet {fallback.sheet.name}")
    sheet.add("Nineteen of twenty cases stay within", FromTrials(steps.p95_usd), "the trials")
    sheet.notes = [book.made_from, "In grey: a number of the trials, which follows no change of price or quantity here."]


def units_sheet(book: Book, fleet: Fleet, taken: Sequence[Option], waits: Mapping[str, Any]) -> None:
    """Add every unit of the site: what is decided of it alone, and whether the money carries it in the set.

    Parameters
    ----------
    waits : mapping of str to Fund or None
        Units that the money does not carry yet, each with the fund that would.
    """
    currency, chosen = fleet.museum.scenario.currency, {option.vehicle: option for option in taken}
    sheet = book.sheet("Units", ["unit", "verdict alone", "path", f"likely [{currency}]", f"set aside [{currency}]",
                                 "chance in time", "in the set"])  # fmt: skip
    for vehicle, comparison in fleet.comparisons.items():
        found, fund = comparison.decision, waits.get(vehicle)
        way = f"{comparison.path(found.path).title} (path {comparison.path(found.path).number})" if found.path else "–"
        money = [FromTrials(usd) if usd is not None else "–" for usd in
                 ((found.budget.likely, found.budget.at_confidence) if found.budget else (None, None))]  # fmt: skip
        chance = "–" if found.chance_if_decided_then is None else FromTrials(found.chance_if_decided_then)
        other = f"yes, by path {chosen[vehicle].number}" if vehicle in chosen else "no"
        sheet.add(unit_called(comparison), found.in_short, way, *money, chance,
                  other if fund is None else f"{other}: waits for {fund.title}")  # fmt: skip
    sheet.notes = ["Each unit as if it were alone. Sums of these are no budget: a call-out that is shared is charged once."]


def site_budget_sheet(book: Book, sheet: Sheet, costed: Sequence[Costed], set_aside_usd: float, confidence: float) -> None:
    """Fill the budget of several units together."""
    heading = sheet.headings[1]
    for each in costed:
        likely = each.sheet.value(each.total, each.sheet.headings[-2])
        cell = each.sheet.cell(each.total, each.sheet.headings[-2])
        name = f"{unit_called(each.comparison)}: likely values, summed (path {each.comparison.path(each.path).number})"
        sheet.add(name, Formula(cell, likely), f"sheet {each.sheet.name}")
    total = sheet.total(0, len(costed) - 1, heading)
    summed = sheet.add("Likely values of all, summed: not the mean", total, "sum", bold=True)
    rest = FromTrials(set_aside_usd - total.value)
    more = sheet.add("For ranges, risks, refusals and fallbacks, less what is saved as a call-out is charged once", rest,
                     "the trials")  # fmt: skip
    aside = sheet.total(summed, more, heading)
    level = f"{100 * confidence:.0f} of 100 cases"
    sheet.add(f"Set aside for all together: enough in {level}", aside, "sum of the two", bold=True)
    sheet.notes = [book.made_from, "The set aside of all is less than the sum of each: not all goes wrong."]


def _counted_in(comparison: Comparison, entry: LikelyLine, unit: str) -> str:
    """Return what the units charged are: of a price in percent, the sum that it is a percentage of."""
    if unit == "percent":
        return f"{_shown_in(comparison, driver_of(entry.line.driver))[0]}, the price being so many percent of it"
    return _plain(unit.partition("/")[2] or unit)


def _plain(unit: str) -> str:
    return unit.replace("_", " ")


def unit_called(comparison: Comparison) -> str:
    """Return the name of a unit without what stands behind it in brackets."""
    return without_brackets(comparison.museum.vehicle(comparison.vehicle).name)
