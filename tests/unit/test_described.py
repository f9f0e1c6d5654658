"""A table is described once: its headings and numbers are the same on a screen, in CSV, in a workbook and on the page."""

import base64
import csv
import datetime as dt
import html
import io
import json
import re
from dataclasses import replace

import numpy as np
import openpyxl
import pytest

from heritagemove.answers.budget_steps import budget_steps, table_of_budget
from heritagemove.answers.gate_tables import gates_of
from heritagemove.answers.money_tables import table_of_costs, table_of_half_widths, table_of_risks, table_of_upkeep
from heritagemove.answers.path_tables import table_of_paths
from heritagemove.answers.survey_tables import (
    table_of_bearings,
    table_of_boxes,
    table_of_facts,
    table_of_journals,
    table_of_readiness,
    table_of_unknowns,
)
from heritagemove.answers.task_tables import table_of_closed_seasons, table_of_decision, table_of_tasks
from heritagemove.answers.whole_cost import whole_cost
from heritagemove.files.spreadsheets import csv_of
from heritagemove.hand_over import workbook
from heritagemove.panels import markup
from heritagemove.units.described import Heading, Marked, described, said


@pytest.fixture(scope="module")
def tables(switcher):
    museum, vehicle = switcher.museum, switcher.vehicle
    choice = switcher.path(switcher.choice)
    unpriced = replace(choice, trials=replace(choice.trials, unknown=("crane_hours",)))
    of_survey = (table_of_facts, table_of_boxes, table_of_bearings, table_of_journals, table_of_readiness, table_of_unknowns)
    return (
        table_of_paths(switcher),
        *(table_of_costs(result) for result in (choice, unpriced)),
        table_of_upkeep(whole_cost(switcher, choice.path)),
        table_of_risks(switcher, choice.path),
        table_of_half_widths(switcher),
        table_of_budget(budget_steps(switcher)),
        table_of_tasks(switcher, choice.path),
        table_of_closed_seasons(switcher, choice.path),
        table_of_decision(switcher),
        *(gates_of(switcher, result) for result in switcher.paths),
        *(table(museum, vehicle) for table in of_survey),
    )


def _on_screen(table):
    """Return the rows of a table on a screen as texts, headings first; what a mark draws and terms say is left out."""
    left_out = r'<svg.*?</svg>|<summary.*?</summary>|<span aria-hidden="true">.*?</span>|</?span[^>]*>'
    shown = re.sub(left_out, "", markup.table_of(table), flags=re.DOTALL)
    rows = re.findall(r"<tr>(.*?)</tr>", shown, flags=re.DOTALL)
    between = {"<br>": "; ", "<details": "; <details"}
    for tag, words in between.items():
        rows = [row.replace(tag, words) for row in rows]
    cells = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, flags=re.DOTALL) for row in rows]
    return [[" ".join(html.unescape(re.sub(r"<[^>]*>", " ", cell)).split()) for cell in row] for row in cells]


def _read(text, heading):
    """Return what a cell of a CSV file says, a number as its column says numbers."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return said(dt.date.fromisoformat(text))
    if heading.numeric and re.fullmatch(r"-?\d+(\.\d+)?(e-\d+)?", text):
        return said(float(text), heading.kind)
    return text.removeprefix("'") if text[1:2] in "=+-@" else text


def _spaced(rows):
    return [[" ".join(cell.split()).replace(" ;", ";").replace(" ,", ",") for cell in row] for row in rows]


def test_headings_and_numbers_are_the_same_everywhere(tables):
    assert len(tables) > 20 and sum(len(table) for table in tables) > 300
    for table in tables:
        words = _spaced(table.cells())
        assert [table.titles(), *words] == _on_screen_of_marks(table), table.caption
        lines = list(csv.reader(io.StringIO(csv_of(table).lstrip("\ufeff"), newline="")))
        read = [[_read(*pair) for pair in zip(line, table.headings, strict=True)] for line in lines[1:]]
        assert lines[0] == table.titles() and _spaced(read) == words, table.caption
        page = json.loads(json.dumps(table.as_json()))
        assert page["headings"] == table.titles() and _spaced(page["words"]) == words


def _on_screen_of_marks(table):
    """Return a table as on screen, the numbers of several paths set apart as in words."""
    rows = _on_screen(table)
    for place, row in enumerate(table.rows, start=1):
        for column, value in enumerate(row):
            if isinstance(value, tuple) and value and isinstance(value[0], Marked):
                rows[place][column] = ", ".join(rows[place][column].split())
    return _spaced(rows)


def test_a_workbook_holds_the_same_numbers_and_a_total_where_a_sum_means_something(switcher, tables):
    book = openpyxl.load_workbook(io.BytesIO(workbook.book_bytes(switcher, dict(_named(tables)))))
    for name, table in _named(tables):
        sheet = book[name]
        lines = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=1, max_row=len(table) + 1)]
        assert lines[0] == table.titles()
        for line, row in zip(lines[1:], table.rows, strict=True):
            for cell, value, heading in zip(line, row, table.headings, strict=True):
                cell = cell.date() if isinstance(cell, dt.datetime) else cell
                assert said("" if cell is None else cell, heading.kind) == said(value, heading.kind)
                assert isinstance(cell, int | float) == (isinstance(value, int | float) and not isinstance(value, bool))
        totals = {heading.text for heading, cell in zip(table.headings, sheet[len(table) + 2], strict=True)
                  if cell.data_type == "f"} if sheet.max_row > len(table) + 1 else set()  # fmt: skip
        assert totals == {heading.text for heading in table.headings if heading.total}


def _named(tables):
    return [(f"Sheet {number}", table) for number, table in enumerate(tables)]


def test_nothing_in_a_cell_is_run_or_taken_for_markup():
    table = described("<b>", [Heading("=1+1", lambda row: row), Heading("n", len, "whole")], ["=2+2", "<i>", "+1", "-2"])
    lines = list(csv.reader(io.StringIO(csv_of(table).lstrip("\ufeff"))))
    assert [line[0] for line in lines] == ["'=1+1", "'=2+2", "<i>", "'+1", "'-2"]
    shown = markup.table_of(table)
    assert "<i>" not in shown and "&lt;b&gt;" in shown
    data = re.search(r'href="data:text/csv;charset=utf-8;base64,([^"]+)"', shown)[1]
    assert base64.b64decode(data).decode() == csv_of(table)


def test_what_is_no_number_is_unknown_and_a_numpy_number_is_one():
    values = [np.float64("nan"), None, np.float64(0.5), np.int64(3)]
    table = described("t", [Heading("n", lambda row: row, "tenths")], values)
    assert [row[0] for row in table.cells()] == ["unknown", "unknown", "0.5", "3.0"]
    assert [type(row[0]) for row in table.rows] == [type(None), type(None), float, int]


def test_a_way_of_saying_that_nobody_knows_is_refused():
    with pytest.raises(ValueError, match="Cost: no way of saying is called dollars"):
        Heading("Cost", str, "dollars")
