"""What is handed over: tables as CSV, one workbook with totals, charts as files, the schedule as a calendar."""

import csv
import datetime as dt
import io
import json
import re
import shutil
import subprocess
import zipfile
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from openpyxl import load_workbook

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over import calendar_file, workbook
from heritagemove.trials import simulation
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError

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
        money = [h for h in headings if re.search("^(cost )?P[158]0|mean|amount|offer", h)]
        assert all(h.endswith("[USD]") for h in money), headings
    frame = comparison.to_frame()
    assert sheets["Paths"].max_row >= len(frame) + 1


def test_the_only_formulas_are_our_totals(book):
    for sheet in load_workbook(book).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert re.fullmatch(r'=IF\(COUNT\((\w+:\w+)\)=ROWS\(\1\),SUM\(\1\),"unknown"\)', cell.value), cell.value
                    assert sheet.cell(cell.row, 1).value == "Total"


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
            frame = workbook.cost_table(result)
            assert frame.filter(like="mean").sum().iloc[0] == pytest.approx(result.cost.mean), result.path


@pytest.mark.skipif(not shutil.which("soffice"), reason="LibreOffice is not installed")
def test_a_spreadsheet_recalculates_the_same_totals(book, comparison, tmp_path):
    every_sheet = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1"
    home = f"-env:UserInstallation=file://{tmp_path}/profile"
    subprocess.run(["soffice", home, "--headless", "--convert-to", every_sheet, "--outdir", tmp_path, book],
                   check=True, capture_output=True, timeout=120)  # fmt: skip

    def total(name: str, column: str) -> str:
        with (tmp_path / f"all-{name}.csv").open(newline="", encoding="utf-8") as file:
            lines = list(csv.reader(file))
        assert lines[-1][0] == "Total"
        return lines[-1][lines[0].index(column)]

    choice = comparison.path(comparison.choice)
    assert float(total(f"Cost of choice {choice.number}", "mean [USD]")) == pytest.approx(choice.cost.mean, abs=0.01)
    billed = [row.amount.m_as("USD") for row in comparison.museum.actuals if row.vehicle == comparison.vehicle]
    assert float(total("Invoices", "amount [USD]")) == pytest.approx(sum(billed))
    assert total("Unknowns", "mean [USD]") == "unknown", "a total over an unknown amount is unknown"
    odd = next(tmp_path.glob("all-Odd*.csv")).read_text(encoding="utf-8")
    assert '=HYPERLINK(""http://x.invalid"",""go"")' in odd, "shown as typed, not run"


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


def read_calendar(data):
    """Read an iCalendar file by RFC 5545, sections 3.1 (folded lines) and 3.3.11 (text), apart from its writer."""
    assert data.endswith(b"\r\n") and b"\n" not in data.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in data.split(b"\r\n")), "3.1: at most 75 octets a line"
    lines = data.decode().replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")[:-1]
    events, stack = [], []
    for line in lines:
        name, value = re.match(r"([A-Z-]+)(?:;[^:]*)?:(.*)", line).groups()
        if name == "BEGIN":
            stack.append(value)
            events += [{}] if value == "VEVENT" else []
        elif name == "END":
            assert stack.pop() == value
        elif stack[-1] == "VEVENT":
            assert name not in events[-1], f"{name} twice"
            unescaped = re.sub(r"\\([\\;,nN])", lambda m: "\n" if m[1] in "nN" else m[1], value)
            events[-1][name] = unescaped
    assert stack == [] and lines[0] == "BEGIN:VCALENDAR" and "VERSION:2.0" in lines
    return events


def day(text):
    return dt.datetime.strptime(text, "%Y%m%d").date()


def test_the_calendar_is_read_back_by_another_reader(comparison, tmp_path):
    path = calendar_file.write_calendar(comparison, tmp_path / "schedule.ics")
    events = {event["SUMMARY"].split(":")[0]: event for event in read_calendar(path.read_bytes())}
    museum = comparison.museum
    assert day(events["Last meeting that decides"]["DTSTART"]) == comparison.decide_by
    assert comparison.switch_by is None and not [name for name in events if name.startswith("Last day to wait")]
    assert day(events["Deadline, off the site"]["DTSTART"]) == museum.scenario.deadline
    assert day(events["Deadline, off the site"]["DTEND"]) == museum.scenario.deadline + dt.timedelta(days=1)
    assert comparison.sentence == events["Last meeting that decides"]["DESCRIPTION"]
    tasks = museum.of_path("tasks", comparison.choice)
    finish = comparison.path(comparison.choice).trials.dates.finish
    summaries = {event["SUMMARY"]: event for event in read_calendar(path.read_bytes())}
    for row in tasks:
        event = summaries[f"{row.title}: {museum.vehicle(comparison.vehicle).name}"]
        last = simulation.date_of(museum, float(np.percentile(finish[row.task] - 1, 80)))
        assert day(event["DTEND"]) - dt.timedelta(days=1) == last, row.task


def test_identifiers_are_one_an_entry_and_stay_when_dates_move(comparison, museum):
    found = calendar_file.entries(comparison)
    first = calendar_file.calendar_bytes(comparison, found)
    assert first == calendar_file.calendar_bytes(comparison, calendar_file.entries(comparison)), "the same bytes"
    ids = [event["UID"] for event in read_calendar(first)]
    assert len(set(ids)) == len(ids) == len(found)
    later = compare_paths(museum.with_changes(deadline=museum.scenario.deadline + dt.timedelta(days=14)), comparison.vehicle,
                    samples=comparison.samples)  # fmt: skip
    moved = read_calendar(calendar_file.calendar_bytes(later, calendar_file.entries(later, comparison.choice)))
    deadlines = {event["UID"]: day(event["DTSTART"]) for event in moved if "Deadline" in event["SUMMARY"]}
    assert set(deadlines) < set(ids) and set(deadlines.values()) == {later.museum.scenario.deadline}


def test_a_name_with_line_ends_and_separators_makes_no_entry_of_its_own(comparison, museum):
    evil = "Engine\r\nEND:VEVENT\r\nBEGIN:VEVENT; a, b\\n \x07"
    named = museum.with_changes(vehicles=[v.model_copy(update={"name": evil}) for v in museum.vehicles])
    other = compare_paths(named, comparison.vehicle, samples=draw(named, trials=200))
    events = read_calendar(calendar_file.calendar_bytes(other, calendar_file.entries(other)))
    assert len(events) == len(calendar_file.entries(other))
