"""The treasurer's months: what is paid when, what funds bring, what is left, and what can go wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from heritagemove.answers.money_tables import risk_shares
from heritagemove.hand_over.money_sheets import Costed, unit_called
from heritagemove.hand_over.sheets import Book, Formula, FromTrials, Input, Sheet
from heritagemove.units.words import show_date
from heritagemove.whole_site.fleet import Fleet, Option
from heritagemove.whole_site.funding import account
from heritagemove.whole_site.payments import payments


def payments_sheet(book: Book, costed: Sequence[Costed]) -> tuple[Sheet, Mapping[int, str]]:
    """Add what is paid in which month at the likely values; return the sheet and, by month, the cell of its total."""
    first = costed[0]
    paid = [(each, row, _paid(each, name)) for each in costed for name, row in each.rows.items()]
    months = sorted({month for *_, shares in paid for month in shares})
    names = [show_date(first.sum.months.first_days[month])[2:].strip() for month in months]
    several = len(costed) > 1
    sheet = book.sheet("Payments", [*(["unit"] if several else []), "what", "likely", *names])
    for each, row, shares in paid:
        heading = each.sheet.headings[-2]
        cell, value = each.sheet.cell(row, heading), each.sheet.value(row, heading)
        at = len(sheet.rows)
        own = sheet.cell(at, "likely").rpartition("!")[2]
        spread = [_share(own, value, shares[month]) if month in shares else "" for month in months]
        title = each.sheet.rows[row][0]
        sheet.add(*([unit_called(each.comparison)] if several else []), title, Formula(cell, value), *spread)
    last = len(sheet.rows) - 1
    totals = [sheet.total(0, last, heading) for heading in ("likely", *names)]
    at = sheet.add(*([""] if several else []), "Total", *totals, bold=True)
    sheet.notes = ["Months as likely as not, nothing refused, decided at the meeting that the decision names."]
    return sheet, {month: sheet.cell(at, name) for month, name in zip(months, names, strict=True)}


def _share(cell: str, value: float, share: float) -> Formula:
    return Formula(cell if share == 1 else f"{share!r}*{cell}", value * share)


def _paid(costed: Costed, name: str) -> Mapping[int, float]:
    """Return the shares of a row of the sheet of cost by month."""
    for entry in costed.sum.lines:
        if entry.line.line == name:
            return entry.paid or {0: 1.0}
    month = next((month for risk, _, month in costed.sum.mitigations if f"risk/{risk.risk}" == name), None)
    scenario = costed.comparison.museum.scenario
    at = costed.sum.months.number_of((scenario.deadline - scenario.start).days) if month is None else month
    return {int(at): 1.0}


def months_sheets(
    book: Book, costed: Sequence[Costed], options: Sequence[Option], totals: Mapping[int, str], paid: Sheet
) -> None:
    """Add the funds, and month by month what comes in, what is paid and what is left."""
    comparison = costed[0].comparison
    museum, samples, money = comparison.museum, comparison.samples, comparison.museum.scenario.currency
    own = Fleet(museum, samples, {each.comparison.vehicle: each.comparison for each in costed}, tuple(options), {}, 0.0)
    bank = account(own, options, payments(museum, options, samples), sure=[row.fund for row in museum.funds])
    here = {option.vehicle for option in options}
    funds = [row for row in museum.funds if row.repays != "loan" and (not row.units or here & set(row.units))]
    sheet = book.sheet("Funds", ["fund", f"amount [{money}]", "chance", "counted: 1 yes, 0 no", "from", "rule", "repays",
                                 "row of funds.csv"])  # fmt: skip
    for row in funds:
        counted = Input(1.0 if row.probability >= museum.scenario.simulation.confidence else 0.0)
        sheet.add(row.title, Input(row.amount.m_as("USD")), row.probability, counted, row.earliest, row.restriction,
                  row.repays.replace("_", " "), row.row_number)  # fmt: skip
    sheet.notes = [
        f"Counted is a fund that comes with a chance of at least {museum.scenario.simulation.confidence:.0%}; set another "
        "to 1 to see its money. Loans are left out: they are paid back. So are funds that are for other units alone.",
        "A fund may be asked for other units too: what is counted here is for the units of this workbook alone.",
    ]
    careful = np.quantile(np.cumsum(bank.paid, axis=1), museum.scenario.simulation.confidence, axis=0)
    busy = [month for month in range(len(bank.months)) if month in totals or abs(bank.paid[:, month]).mean() >= 0.5
            or any(values[:, month].mean() >= 0.5 for values in bank.received.values())]  # fmt: skip
    titles = _apart([row.title for row in funds])
    headings = ["month", f"payments [{money}]", *titles, f"receipts [{money}]", f"balance [{money}]",
                f"paid by then in a dear case [{money}]", f"balance in a dear case [{money}]"]  # fmt: skip
    page = book.sheet("Months", headings)
    for month in range(busy[-1] + 1 if busy else 1):
        _month(page, month, bank, totals, paid, sheet, funds, float(careful[month]), headings)
    page.notes = [
        "Payments at the likely values, nothing refused. Receipts: the amount of each fund that is counted, times the share "
        "of it that the trials pay out in the month by its rules (in grey where it is a number of theirs).",
        f"In a dear case: {museum.scenario.simulation.confidence:.0%} of the trials have paid no more by then, refusals and "
        "fallback included.",
        book.made_from,
    ]


def _month(
    page: Sheet, month: int, bank: Any, totals: Mapping[int, str], paid: Sheet, sheet: Sheet, funds: Sequence[Any],
    careful: float, headings: Sequence[str],
) -> None:  # fmt: skip
    at, money = len(page.rows), sheet.headings[1]
    name = show_date(bank.months[month])[2:].strip()
    spent = Formula(totals[month], paid.value(len(paid.rows) - 1, name)) if month in totals else ""
    comes = []
    for n, row in enumerate(funds):
        amount, counted = row.amount.m_as("USD"), sheet.value(n, sheet.headings[3])
        share = float(bank.received[row.fund][:, month].mean()) / amount if amount else 0.0
        formula = f"{sheet.cell(n, money)}*{sheet.cell(n, sheet.headings[3])}*{share!r}"
        comes.append(Formula(formula, amount * counted * share) if share > 0.0005 else "")
    receipts = sum(each.value for each in comes if isinstance(each, Formula))
    cells = [page.cell(at, heading).rpartition("!")[2].replace("$", "") for heading in headings]
    before = [page.cell(at - 1, headings[n]).rpartition("!")[2].replace("$", "") for n in (-3, -4)]
    balance = receipts - (spent.value if spent else 0.0)
    got, first = f"{cells[-4]}-{cells[1]}", f"SUM({cells[2]}:{cells[-5]})" if funds else "0"
    if at:
        balance += page.value(at - 1, headings[-3])
        got = f"{before[0]}+{got}"
    so_far = sum(page.value(n, headings[-4]) for n in range(at)) + receipts
    top = page.cell(0, headings[-4]).rpartition("!")[2].replace("$", "")
    page.add(
        bank.months[month], spent, *comes, Formula(first, receipts), Formula(got, balance), FromTrials(careful),
        Formula(f"SUM({top}:{cells[-4]})-{cells[-2]}", so_far - careful),
    )  # fmt: skip


def risks_sheet(book: Book, costed: Sequence[Costed]) -> None:
    """Add what can go wrong, what lowers it, its price, and who watches it."""
    money, several = costed[0].comparison.museum.scenario.currency, len(costed) > 1
    sheet = book.sheet("Risks", [*(["unit"] if several else []), "what can go wrong", "chance", f"costs then [{money}]",
                       f"on average [{money}]", "what lowers it", f"its price [{money}]", "chance then", "in the plan",
                       "who", "row of risks.csv"])  # fmt: skip
    for each in costed:
        for found in risk_shares(each.comparison, each.path):
            row, then = found.row, found.row.mitigated_probability
            sheet.add(
                *([unit_called(each.comparison)] if several else []), row.title, row.probability, FromTrials(found.when_usd),
                FromTrials(found.mean_usd), row.mitigation,
                "no price yet" if row.mitigation_cost is None else Input(row.mitigation_cost),
                "not known" if then is None else then, row.bought, row.owner, row.row_number,
            )  # fmt: skip
    sheet.notes = [book.made_from]


def _apart(names: Sequence[str]) -> list[str]:
    """Return names, those that repeat with a number behind them."""
    return [name if names.index(name) == n else f"{name} ({n + 1})" for n, name in enumerate(names)]
