"""What is handed over: tables as CSV, one workbook with totals, charts as files, the schedule as a calendar."""

import csv
import io
import json
import re
import shutil
import subprocess
import zipfile
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from openpyxl import load_workbook
from spreadsheet import Recalculated, formulas

from heritagemove.answers.money_tables import table_of_costs
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over import calendar_file, workbook
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_rounded
from heritagemove.whole_site.fleet import Fleet, cost_together, option_of

DATA = Path(__file__).resolve().parents[2] / "data"
LINK = '=HYPERLINK("http://x.invalid","go")'
PAYLOADS = [LINK, "+1+1", "-2+3", "@SUM(A1)", "\t=1", "=cmd|' /C calc'!A0", "a\x07b", "<b>&amp;"]


@pytest.fixture(scope="module")
def comparison(museum):
    return compare_paths(museum, "foundry_switcher", samples=draw(museum, trials=1000))


@pytest.fixture(scope="module")
def book(comparison, tmp_path_factory):
    amounts = [float(n) - 3 for n in range(len(PAYLOADS))]
    more = {"Odd [names]: a/b": pd.DataFrame({"note": PAYLOADS, "amount [USD]": amounts})}
    more["Unknowns"] = pd.DataFrame({"line": ["a", "b"], "mean [USD]": [5.0, None]})
    return workbook.write_workbook(comparison, tmp_path_factory.mktemp("out") / "all.xlsx", more=more)


def test_every_table_is_a_sheet_with_units_in_its_headings(book, comparison):
    sheets = {sheet.title: sheet for sheet in load_workbook(book).worksheets}
    assert {"Decision", "Paths", "Quotes", "Invoices", "Unknowns"} <= set(sheets)
    for sheet in sheets.values():
        headings = [cell.value for cell in sheet[1]]
        money = [h for h in headings if re.search("^(Cost )?P[158]0|^Mean|mean where|^amount|^Amount$|Offer|^price", h)]
        assert all(h.endswith("[USD]") for h in money), headings
    assert sheets["Paths"].max_row >= len(comparison.paths) + 1


#: What a formula may be made of: cells of this book, numbers, and a few functions; never a text, a link or a name.
OURS = re.compile(r"=(?:'[^']+'![$A-Z\d]+|\$?[A-Z]{1,2}\$?\d+|SUM|MAX|IF|COUNT|ROWS|\"unknown\"|[\d.e-]+|[-+*^(),:=>])+")


def test_a_formula_is_made_of_cells_numbers_and_sums_alone(book, site_book):
    for path in (book, site_book):
        cells = [cell for sheet in load_workbook(path).worksheets for row in sheet.iter_rows() for cell in row]
        made = [cell.value for cell in cells if cell.data_type == "f"]
        assert len(made) > 100
        assert [text for text in made if not OURS.fullmatch(text)] == []


def test_text_from_tables_is_text_and_a_negative_number_is_a_number(book):
    sheet = next(sheet for sheet in load_workbook(book).worksheets if sheet.title.startswith("Odd"))
    cells = [sheet.cell(row, 1) for row in range(2, len(PAYLOADS) + 2)]
    assert {cell.data_type for cell in cells} == {"s"}
    assert [cell.value for cell in cells[:6]] == [p.replace("\x07", "�") for p in PAYLOADS[:6]]
    assert all(cell.quotePrefix for cell in cells[:6])
    assert sheet.cell(2, 2).value == -3 and sheet.cell(2, 2).data_type == "n"
    with zipfile.ZipFile(book) as pack:
        assert not any("externalLink" in name or "vba" in name.lower() for name in pack.namelist())


def test_the_table_of_cost_adds_up_to_the_mean_of_the_trials(comparison):
    for result in comparison.paths:
        if result.cost:
            table = table_of_costs(result)
            means = [row[table.titles().index("Mean [USD]")] for row in table.rows]
            assert sum(means) == pytest.approx(result.cost.mean), result.path


def written(museum, units, samples, folder):
    """Return units with their workbooks, by their ids."""
    compared = {unit: compare_paths(museum, unit, samples=samples) for unit in units}
    return {name: (one, workbook.write_workbook(one, folder / f"{name}.xlsx")) for name, one in compared.items()}


@pytest.fixture(scope="module")
def abroad():
    return load_museum(DATA / "elsewhere" / "melderbach")


@pytest.fixture(scope="module")
def books(comparison, book, museum, abroad, tmp_path_factory):
    """Workbooks of a diesel, of an engine in two pieces, and of one of another country."""
    folder, mine = tmp_path_factory.mktemp("books"), draw(museum, trials=300)
    others = written(museum, ["consolidation"], mine, folder)
    others |= written(abroad, ["tank_engine"], draw(abroad, trials=300), folder)
    return {comparison.vehicle: (comparison, book), **others}


@pytest.fixture(scope="module")
def site_book(books, tmp_path_factory):
    """The workbook of two units together, as if the money carried them both."""
    first = books["consolidation"][0]
    compared = {"consolidation": first}
    compared["caboose"] = compare_paths(first.museum, "caboose", samples=first.samples)
    options = tuple(option_of(one, one.path(one.choice)) for one in compared.values())
    fleet = Fleet(first.museum, first.samples, compared, options, {}, 0.0)
    aside = float(np.quantile(cost_together(options), fleet.confidence))
    plan = SimpleNamespace(options=options, at_confidence=aside)
    decided = SimpleNamespace(in_words="Take both.", steps=(), waits=(), plan=plan)
    site = SimpleNamespace(fleet=fleet, decided=decided, plan=plan)
    return workbook.write_site_workbook(site, tmp_path_factory.mktemp("site") / "site.xlsx")


@pytest.mark.long
def test_every_unit_has_a_workbook_whose_sums_hold(museum, samples, abroad, tmp_path):
    units = [row.vehicle for row in museum.vehicles]
    every = written(museum, units, samples, tmp_path)
    every |= written(abroad, [row.vehicle for row in abroad.vehicles], draw(abroad, trials=2000), tmp_path)
    for comparison, path in every.values():
        reckoned = Recalculated(path)
        for place, held in formulas(path):
            assert reckoned[place] == pytest.approx(held, abs=0.005), (path.name, place)
        sheet = load_workbook(path, data_only=True)["Budget"]
        aside = sheet.cell(row_of(sheet, "Set aside"), 2).value
        assert aside == pytest.approx(comparison.decision.budget.at_confidence, abs=0.005), path.name


def test_every_formula_holds_what_it_comes_to(books, site_book):
    for path in (*(path for _, path in books.values()), site_book):
        reckoned = Recalculated(path)
        for place, held in formulas(path):
            assert reckoned[place] == pytest.approx(held, abs=0.005), (path.name, place)


def row_of(sheet, text, column=1):
    return next(row for row in range(1, sheet.max_row + 1) if str(sheet.cell(row, column).value).startswith(text))


def test_the_budget_goes_from_the_likely_sum_to_what_the_paper_asks_for(books):
    for comparison, path in books.values():
        if comparison.choice is None:
            continue
        sheet = (book := load_workbook(path, data_only=True))["Budget"]
        budget = comparison.decision.budget
        assert sheet.cell(row_of(sheet, "Likely values"), 2).value == pytest.approx(budget.likely, abs=0.005)
        aside = sheet.cell(row_of(sheet, "Set aside"), 2).value
        assert aside == pytest.approx(budget.at_confidence, abs=0.005)
        assert f"{show_rounded(aside)} {comparison.museum.scenario.currency}" in book["Decision"]["B3"].value
        paid = book["Payments"]
        months = [cell.value for cell in paid[paid.max_row - 2]][2:]
        assert sum(months) == pytest.approx(budget.likely, abs=0.005), "what is paid by month is the likely sum"


def test_the_budget_says_which_of_it_is_constant_and_an_insured_sum_is_no_percentage(book):
    sheet = (opened := load_workbook(book, data_only=True))["Budget"]
    for start in ("Enough in", "Set aside"):
        assert "constants from the trials" in sheet.cell(row_of(sheet, start), 3).value, start
    cost = next(page for page in opened.worksheets if page.title.startswith("Cost of choice"))
    heads = [cell.value for cell in cost[1]]
    row = row_of(cost, "Transit insurance")
    assert cost.cell(row, heads.index("unit") + 1).value.startswith("USD, the price being so many percent")


def test_a_fund_that_is_for_other_units_alone_is_not_listed_as_this_unit_s(book):
    funds = [row[0].value for row in load_workbook(book)["Funds"].iter_rows(min_row=2) if row[0].value]
    assert any("Bring Them Home" in name for name in funds) and "Rail heritage trust small grant" not in funds


@pytest.mark.parametrize("unit", ["foundry_switcher", "tank_engine"])
def test_a_price_or_a_quantity_that_is_changed_moves_cost_budget_and_payments(books, unit):
    comparison, path = books[unit]
    book = load_workbook(path, data_only=True)
    inputs, cost = book["Inputs"], book[f"Cost of choice {comparison.path(comparison.choice).number}"]
    headings = [cell.value for cell in cost[1]]
    aside = "Budget", f"B{row_of(book['Budget'], 'Set aside')}"
    paid = "Payments", f"B{book['Payments'].max_row - 2}"
    tried = 0
    for file, change in (("rates.csv", 10.0), ("quantities.csv", 1.0), ("", 1.0)):
        number = next(n for n in range(2, inputs.max_row) if inputs.cell(n, 9).value in (file, file or None))
        cell = f"D{number}"
        after = Recalculated(path, {("Inputs", cell): inputs[cell].value + change})
        moved = 0.0
        for row, formula in enumerate(load_workbook(path)[cost.title].iter_rows(min_row=2), start=2):
            held = {heading: cost.cell(row, n + 1).value for n, heading in enumerate(headings)}
            price = next(heading for heading in headings if heading.startswith("price"))
            if formula[headings.index(price)].value == f"='Inputs'!$D${number}":
                each = held["tax, unit and rise of prices"] * (1 - held["share given"])
                moved += held["units charged"] * change * each
            elif formula[headings.index("how many")].value == f"='Inputs'!$D${number}":
                each = held["tax, unit and rise of prices"] * (1 - held["share given"])
                moved += held["factor"] * change * held["times"] * held[price] * each
        assert moved, "the row prices a line"
        before = Recalculated(path)
        for place in (aside, paid):
            assert after[place] - before[place] == pytest.approx(moved, abs=0.005), (file, place)
        tried += 1
    assert tried == 3


def test_what_is_from_the_trials_says_so_with_day_seed_and_digest(book, comparison):
    museum = comparison.museum
    told = f"tables as of 20 Nov 2026, seed {comparison.samples.seed}, 1,000 trials, digest {museum.digest()[:16]}."
    for name in ("Budget", "Months", "Risks", "Decision"):
        cells = [str(cell.value) for row in load_workbook(book)[name].iter_rows() for cell in row]
        assert any(told in text for text in cells), name


def test_each_sheet_prints_landscape_on_one_width_with_its_headings(book, site_book):
    for sheet in (*load_workbook(book).worksheets, *load_workbook(site_book).worksheets):
        assert sheet.page_setup.orientation == "landscape" and sheet.page_setup.fitToWidth in (None, 1)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.page_setup.fitToHeight == 0
        assert sheet.print_title_rows == "$1:$1", sheet.title


def test_nothing_is_unknown_that_never_happens_or_that_passes(book):
    sheets = load_workbook(book)
    for name in ("Paths", *(name for name in sheets.sheetnames if name.startswith("Gates"))):
        cells = [cell.value for row in sheets[name].iter_rows() for cell in row]
        assert "unknown" not in cells, name
    assert comparison_dates(sheets["Decision"]) == {"Deadline", "Tables as of", "Decide at the meeting of, at the latest"}


def comparison_dates(sheet):
    return {sheet.cell(cell.row, 1).value for cell in sheet["B"] if cell.is_date}


@pytest.mark.skipif(not shutil.which("soffice"), reason="LibreOffice is not installed")
def test_a_spreadsheet_recalculates_the_same_to_the_cent(book, books, site_book, tmp_path):
    """Two starts: the first of a new profile only makes it."""
    changed = load_workbook(book)
    number = row_of(changed["Inputs"], "Mechanical survey visit")
    changed["Inputs"].cell(number, 4).value += 1000
    changed.save(tmp_path / "changed.xlsx")
    paths = [book, books["tank_engine"][1], site_book, tmp_path / "changed.xlsx"]
    for _ in range(2):
        home = f"-env:UserInstallation=file://{tmp_path}/profile"
        subprocess.run(["soffice", home, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir",
                        tmp_path / "again", *paths], capture_output=True, timeout=300)  # fmt: skip
    for path in paths[:3]:
        again = load_workbook(tmp_path / "again" / path.name, data_only=True)
        for (sheet, cell), held in formulas(path):
            assert again[sheet][cell].value == pytest.approx(held, abs=0.005), (path.name, sheet, cell)
    after, before = load_workbook(tmp_path / "again" / "changed.xlsx", data_only=True), Recalculated(book)
    place = "Budget", f"B{row_of(after['Budget'], 'Set aside')}"
    reckoned = Recalculated(book, {("Inputs", f"D{number}"): changed["Inputs"].cell(number, 4).value})
    assert after[place[0]][place[1]].value == pytest.approx(reckoned[place], abs=0.005)
    assert reckoned[place] - before[place] > 900


def test_a_table_as_csv_runs_nothing_and_reads_back(comparison):
    costs = [-1.5, *range(len(PAYLOADS))]
    frame = pd.DataFrame({"note": [*PAYLOADS, None], "cost [USD]": costs, "ok": [True] * len(costs)})
    lines = list(csv.reader(io.StringIO(workbook.table_text(frame).lstrip("\ufeff"), newline="")))
    assert lines[1][:2] == ["'" + PAYLOADS[0], "-1.5"] and lines[1][2] == "yes" and lines[-1][0] == "unknown"
    assert not any(line[0].startswith(("=", "+", "-", "@", "\t")) for line in lines)
    paths = comparison.to_frame()
    heading = next(csv.reader(io.StringIO(workbook.table_text(paths).lstrip("\ufeff"))))
    assert heading == list(paths.columns)


def test_nothing_is_replaced_unasked_and_another_ending_is_refused(comparison, tmp_path):
    path = workbook.write_workbook(comparison, tmp_path / "t.xlsx")
    with pytest.raises(PlannerError, match="which exists"):
        workbook.write_workbook(comparison, path)
    assert workbook.write_workbook(comparison, path, replace=True) == path
    for write, wanted in ((workbook.write_workbook, ".xlsx"), (calendar_file.write_calendar, ".ics")):
        with pytest.raises(PlannerError, match=f"ends in {wanted}"):
            write(comparison, tmp_path / "x.txt")
    with pytest.raises(PlannerError, match="whose folder is not there"):
        workbook.write_workbook(comparison, tmp_path / "none" / "t.xlsx")


def test_the_payloads_of_the_other_tests_are_harmless_here_too():
    payloads = (Path(__file__).parents[1] / "payloads.json").read_text(encoding="utf-8")
    texts = _strings(json.loads(payloads))
    frame = pd.DataFrame({"text": texts})
    lines = list(csv.reader(io.StringIO(workbook.table_text(frame).lstrip("﻿"), newline="")))
    assert len(lines) == len(texts) + 1 and not any(line and line[0].startswith(("=", "+", "-", "@")) for line in lines)


def _strings(value):
    if isinstance(value, str):
        return [value]
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else []
    return [text for part in parts for text in _strings(part)]
