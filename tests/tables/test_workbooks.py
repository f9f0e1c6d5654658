"""A workbook with one sheet a table: the same values, the same messages, and nothing that runs or unpacks for ever."""

import datetime as dt
import io
import tomllib
import zipfile
from pathlib import Path

import openpyxl
import pytest

from heritagemove.editing.writing import typed, write_museum
from heritagemove.files.tables import TableProblems
from heritagemove.files.xlsx_tables import read_workbook, workbook_bytes
from heritagemove.museum.museum import load_museum
from heritagemove.museum.scenario_file import scenario_lines

DATA = Path(__file__).resolve().parents[2] / "data"
BAD = Path(__file__).with_name("bad")


@pytest.fixture(scope="module")
def demo():
    return typed(DATA / "tamber_river")


@pytest.fixture(scope="module")
def book(demo, tmp_path_factory):
    """The demo as a workbook, with the published limits beside it by name."""
    return write_museum(demo, tmp_path_factory.mktemp("book") / "tamber_river.xlsx")


def load(path):
    return load_museum(path, DATA / "reference")


def refusal(path):
    with pytest.raises(TableProblems) as caught:
        load(path)
    return [str(problem) for problem in caught.value.problems]


@pytest.fixture(scope="module")
def opened(book):
    return openpyxl.load_workbook(book)


@pytest.fixture
def edited(opened, tmp_path):
    """Edit cells of the workbook as a planner does, save it elsewhere and take the edits back; return its path."""

    def edit(*cells, percent=()):
        before = [(sheet, place, opened[sheet][place].value) for sheet, place, _ in cells]
        for sheet, place, value in cells:
            opened[sheet][place] = value
        for sheet, place in percent:
            opened[sheet][place].number_format = "0.0%"
        path = tmp_path / "edited.xlsx"
        opened.save(path)
        for sheet, place, value in before:
            opened[sheet][place] = value
        return path

    return edit


def test_the_demo_as_a_workbook_is_the_demo(book, museum):
    assert load(book).digest() == museum.digest()


def test_plain_numbers_are_numbers_and_everything_else_is_text_that_no_spreadsheet_changes(demo):
    lines = [["a", "b"], ["=1+1", "1.5"], ["@x", "-3"], ["5-1/2 x 10", "1,200"], ["007", "1e5"], ["1/2", "0.10"]]
    sheet = openpyxl.load_workbook(io.BytesIO(workbook_bytes({"x": lines})))["x"]
    cells = [[(cell.value, cell.data_type) for cell in row] for row in sheet.iter_rows(min_row=2)]
    assert cells == [
        [("=1+1", "s"), (1.5, "n")],
        [("@x", "s"), (-3, "n")],
        [("5-1/2 x 10", "s"), ("1,200", "s")],
        [("007", "s"), ("1e5", "s")],
        [("1/2", "s"), ("0.10", "s")],
    ]


def test_numbers_dates_and_percentages_are_read_as_a_planner_typed_them(edited, demo):
    column = demo.tables["vehicles.csv"][0].index("weight_tolerance") + 1
    share = ("vehicles", openpyxl.utils.get_column_letter(column) + "2")
    path = edited(("quotes", "I2", dt.datetime(2027, 3, 15)), ("rates", "D2", 0.1 + 0.2), ("rates", "E2", 40),
                  ("rates", "F2", 1e6), (*share, 0.025), percent=[share])  # fmt: skip
    read, problems = read_workbook(path, ["rates", "vehicles", "quotes"])
    assert problems == []
    assert read["rates"][1][3:6] == ["0.3", "40", "1000000"]
    assert read["vehicles"][1][column - 1] == "2.5 %"
    assert read["quotes"][1][8] == "2027-03-15"


def test_a_formula_is_refused_with_sheet_row_and_column_even_when_it_shows_a_number(edited):
    path = edited(("rates", "E2", "=40+2"), ("vehicles", "B3", '=HYPERLINK("http://192.0.2.1","x")'))
    assert refusal(path)[:2] == [
        'sheet rates row 2, column low: found "=40+2"; allowed: a value, not a formula',
        'sheet vehicles row 3, column name: found "=HYPERLINK("http://192.0.2.1","x")"; allowed: a value, not a formula',
    ]


# Defects that are found while the sheets are read, and defects that are found between the sheets.
TOGETHER = [
    ["decimal_comma", "weight_in_feet", "yes_in_another_word", "spreadsheet_error_in_a_text", "low_above_likely"],
    ["duplicate_id", "unknown_rate", "cycle_of_tasks"],
]


@pytest.mark.parametrize("defects", TOGETHER, ids=["in cells", "between tables"])
def test_defects_have_the_messages_they_have_in_csv_files_with_the_sheet_in_their_place(edited, demo, defects):
    cells, expected = [], []
    for defect in defects:
        for cell in tomllib.loads((BAD / defect / "edit.toml").read_text(encoding="utf-8"))["cell"]:
            column = openpyxl.utils.get_column_letter(demo.tables[cell["file"]][0].index(cell["column"]) + 1)
            cells.append((cell["file"].removesuffix(".csv"), f"{column}{cell['row']}", cell["text"]))
        expected += (BAD / defect / "expected.txt").read_text(encoding="utf-8").splitlines()
    assert sorted(refusal(edited(*cells))) == sorted("sheet " + line.replace(".csv", "", 1) for line in expected)


def test_a_wrong_date_of_the_museum_is_named_with_its_row(edited, demo):
    keys = [line[0] for line in scenario_lines(demo.scenario)]
    row = keys.index("deadline") + 1
    allowed = "allowed: a date, such as 2027-10-15"
    where = f"sheet museum row {row}, key deadline"
    assert refusal(edited(("museum", f"B{row}", "soon"))) == [f'{where}: found "soon"; {allowed}']
    assert refusal(edited(("museum", f"B{row}", 1792022400))) == [f'{where}: found "1792022400"; {allowed}']
    moved = load(edited(("museum", f"B{row}", dt.datetime(2027, 10, 20)))).scenario
    assert moved.deadline == dt.date(2027, 10, 20)


def test_a_renamed_sheet_is_named_and_sheets_that_are_no_tables_are_left_alone(demo, tmp_path):
    sheets = {file.removesuffix(".csv"): lines[:2] for file, lines in demo.tables.items()}
    path = tmp_path / "some.xlsx"
    others = {"museum": [["key", "value"], ["format", "2"]], "notes": [["=1+1"]], "rate": sheets.pop("rates")}
    path.write_bytes(workbook_bytes(others | sheets))
    lines = refusal(path)
    assert [line for line in lines if "no such sheet" in line] == [
        'sheet rates: found "no such sheet"; allowed: a sheet rates (there is a sheet "rate")'
    ]
    assert 'sheet museum, key deadline: found nothing; allowed: a row deadline = ...' in lines
    assert not any("notes" in line for line in lines)


def hostile(path, parts):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in parts.items():
            pack.writestr(name, data)
    return path


def test_what_is_no_workbook_or_would_unpack_without_end_is_refused(tmp_path, book):
    path = tmp_path / "x.xlsx"
    with zipfile.ZipFile(book) as pack:
        parts = {name: pack.read(name) for name in pack.namelist()}
    path.write_text("path,number\n")
    assert refusal(path)[0].startswith('x.xlsx: found "a file that is no workbook"')
    hostile(path, {"a.xml": b"\0" * 10_000_001})
    allowed = "a workbook that unpacks to at most 10,000,000 bytes"
    assert refusal(path) == [f'x.xlsx: found "10,000,001 bytes unpacked"; allowed: {allowed}']
    entity = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><x>&a;</x>'
    hostile(path, parts | {"xl/workbook.xml": entity})
    assert refusal(path)[0].startswith('x.xlsx: found "a document type in xl/workbook.xml"')
    hostile(path, parts | {"xl/workbook.xml": b"<workbook"})
    assert refusal(path)[0].startswith("x.xlsx: found") and "saved as .xlsx" in refusal(path)[0]
    (tmp_path / "link.xlsx").symlink_to(book)
    assert refusal(tmp_path / "link.xlsx")[0].startswith('link.xlsx: found "a link"')
    assert refusal(tmp_path / "nowhere.xlsx")[0].startswith('nowhere.xlsx: found "no such file"')


def test_a_sheet_that_claims_a_million_rows_is_refused_at_the_limit(edited, opened):
    most = "allowed: at most 20,000 rows"
    path = edited(("funds", "A1000000", "x"))
    opened["funds"].delete_rows(1_000_000)
    assert refusal(path)[0] == f'sheet funds: found "more than 20,000 rows"; {most}'
