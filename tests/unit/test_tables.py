"""Reading one table: what a spreadsheet may do to it, and what is said when it goes too far."""

import datetime as dt

import pytest

from heritagemove.files import tables
from heritagemove.files.cells import (
    Count,
    Date,
    Identifier,
    Identifiers,
    NonNegative,
    OptionalDate,
    OptionalNonNegative,
    OptionalText,
    Probability,
    Reference,
    Text,
    Year,
    YesNo,
    choice,
    quantity,
)
from heritagemove.files.tables import Row, column, read_table


class Boat(Row):
    boat: Identifier
    length: quantity("ft")
    price: NonNegative
    note: OptionalText


HEADING = "boat,length,price,note"


@pytest.fixture
def read(tmp_path):
    """Read a text or bytes as boats.csv; return the rows and the problems as lines."""

    def reader(content, model=Boat):
        path = tmp_path / "boats.csv"
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        rows, problems = read_table(path, model)
        return rows, [str(problem) for problem in problems]

    return reader


def test_a_plain_table_is_read_with_the_row_numbers_of_the_margin(read):
    rows, problems = read(f'{HEADING}\nskiff,12 ft,"1,200",\nyawl,5 m,900,leaks\n')
    assert problems == []
    assert [(row.boat, row.price, row.note, row.row_number) for row in rows] == [
        ("skiff", 1200, None, 2),
        ("yawl", 900, "leaks", 3),
    ]
    assert rows[1].length.m_as("m") == pytest.approx(5)


def test_a_byte_order_mark_carriage_returns_and_spaces_change_nothing(read):
    plain, _ = read(f"{HEADING}\nskiff,12 ft,1200,\n")
    windows, problems = read(b"\xef\xbb\xbf" + f"{HEADING}\r\n skiff , 12 ft ,1200,\r\n".encode())
    assert problems == []
    assert windows == plain


def test_blank_rows_are_skipped_and_still_counted_in_the_margin(read):
    rows, problems = read(f"{HEADING}\n,,,\nskiff,12 ft,1200,\n\nyawl,12 ft,soon,\n")
    assert [row.row_number for row in rows] == [3]
    assert problems == ['boats.csv row 5, column price: found "soon"; allowed: a number of at least 0']


def test_trailing_blank_cells_are_accepted(read):
    rows, problems = read(f"{HEADING},,\nskiff,12 ft,1200,,,,\n")
    assert (len(rows), problems) == (1, [])


def test_a_row_with_a_cell_too_few_or_too_many_is_refused_and_the_others_are_read(read):
    rows, problems = read(f"{HEADING}\nskiff,12 ft,1200\nyawl,12 ft,1,200,leaks\nkayak,9 ft,300,\n")
    allowed = "allowed: 4 cells, one a column (a text with a comma needs quotes)"
    assert [row.boat for row in rows] == ["kayak"]
    assert problems == [
        f'boats.csv row 2: found "3 cells"; {allowed}',
        f'boats.csv row 3: found "5 cells"; {allowed}',
    ]


def test_every_wrong_cell_of_a_row_is_reported_at_once(read):
    _, problems = read(f"{HEADING}\nskiff,twelve,-3,\n")
    assert len(problems) == 2
    assert problems[0].startswith('boats.csv row 2, column length: found "twelve"; allowed: a length such as')
    assert problems[1] == 'boats.csv row 2, column price: found "-3"; allowed: a number of at least 0'


def test_columns_may_stand_in_any_order(read):
    rows, problems = read("note,price,length,boat\n,1200,12 ft,skiff\n")
    assert (rows[0].boat, problems) == ("skiff", [])


@pytest.mark.parametrize(
    ("content", "line"),
    [
        ("", "boats.csv row 1: found nothing; allowed: a heading row: boat, length, price, note"),
        (f"{HEADING}\nskiff\0,12 ft,1200,\n",
         r'boats.csv row 2, column boat: found "skiff\x00"; allowed: a text without control characters'),
        (b"boat,length,price,note\ncano\xeb,12 ft,1200,\n",
         'boats.csv: found "letters of Windows-1252 or Latin-1, first in line 2"; '
         'allowed: UTF-8 text (in a spreadsheet: Save As, type "CSV UTF-8")'),
        ("boat,length,price\nskiff,12 ft,1200\n", "boats.csv row 1, column note: found nothing; allowed: a column note"),
        ("boat,lenght,price,note\nskiff,12 ft,1200,\n",
         'boats.csv row 1, column lenght: found "lenght"; allowed: boat, length, price, note (did you mean length?)'),
        (f"{HEADING},price\nskiff,12 ft,1200,,3\n",
         'boats.csv row 1, column price: found "twice"; allowed: each column once'),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_read_says_why_in_one_line(read, content, line):
    assert read(content) == ((), [line])


def test_a_missing_file_is_named(tmp_path):
    rows, (problem,) = read_table(tmp_path / "boats.csv", Boat)
    assert rows == ()
    assert str(problem) == 'boats.csv: found "no such file"; allowed: a table boats.csv in this folder'


def test_a_file_over_the_size_limit_is_refused_before_it_is_parsed(read, monkeypatch):
    monkeypatch.setattr(tables, "LARGEST_FILE_BYTES", 30)
    assert read(f"{HEADING}\nskiff,12 ft,1200,\n") == ((), ['boats.csv: found "41 bytes"; allowed: at most 30 bytes'])


def test_too_many_rows_are_refused(read, monkeypatch):
    monkeypatch.setattr(tables, "MOST_ROWS", 3)
    row = "skiff,12 ft,1200,\n"
    assert len(read(f"{HEADING}\n{row * 2}")[0]) == 2
    assert read(f"{HEADING}\n{row * 3}") == ((), ['boats.csv: found "more than 3 rows"; allowed: at most 3 rows'])


def test_a_cell_over_the_length_limit_is_refused_and_shown_short(read):
    longest = "x" * tables.LONGEST_CELL
    assert read(f"{HEADING}\nskiff,12 ft,1200,{longest}\n")[1] == []
    rows, (problem,) = read(f"{HEADING}\nskiff,12 ft,1200,{longest}x\n")
    assert rows == ()
    assert problem == f'boats.csv row 2, column note: found "{"x" * 57}..."; allowed: at most 2,000 characters'


def test_a_quote_that_never_closes_is_a_problem(read):
    """A lenient reader would swallow every row behind it without a word."""
    rows, (problem,) = read(f'{HEADING}\nskiff,12 ft,1200,"no end\nyawl,9 ft,300,\n')
    assert rows == ()
    assert problem.endswith("a quote that opens must close")


def test_a_field_beyond_the_csv_readers_own_limit_is_a_problem(read):
    rows, (problem,) = read(f'{HEADING}\nskiff,12 ft,1200,"{"x" * 200_000}"\n')
    assert rows == ()
    assert problem.startswith("boats.csv row 2: found") and "CSV UTF-8" in problem


CELLS = [
    (Count, "12", 12), (Count, "1.5", None), (Count, "-1", None),
    (Year, "1921", 1921), (Year, "1066", None), (Year, "12", None),
    (NonNegative, "1,250.5", 1250.5), (NonNegative, "nan", None), (NonNegative, "inf", None), (NonNegative, "1e3", None),
    (NonNegative, "2027-05-03", None), (NonNegative, "12,5", None), (NonNegative, "=1+1", None), (NonNegative, "", None),
    (Probability, "0.25", 0.25), (Probability, "1", 1), (Probability, "1.01", None), (Probability, "25%", None),
    (Date, "2027-10-15", dt.date(2027, 10, 15)), (Date, "15.10.2027", None), (Date, "2027-13-01", None), (Date, "", None),
    (OptionalDate, "", ...), (OptionalDate, "soon", None),
    (OptionalNonNegative, "", ...), (OptionalNonNegative, "unknown", ...), (OptionalNonNegative, "0", 0),
    (YesNo, "yes", True), (YesNo, "no", False), (YesNo, "Y", None),
    (Text, "a", "a"), (Text, "", None),
    (Identifiers, "a_1; b", ("a_1", "b")), (Identifiers, "", ()), (Identifiers, "a, b", None),
    (Identifier, "x" * 60, "x" * 60), (Identifier, "x" * 61, None), (Identifier, "", None),
    (choice("rail", "road"), "rail", "rail"), (choice("rail", "road"), "Rail", None), (choice("a", blank=True), "", ...),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "text", "value"), CELLS)
def test_a_kind_of_cell_reads_what_it_allows_and_nothing_else(read, kind, text, value):
    """An expected None is a refusal, an ellipsis is a cell that may be blank and means unknown."""
    model = type("One", (Row,), {"__annotations__": {"value": kind, "other": OptionalText}})
    rows, problems = read(f'value,other\n"{text}",x\n', model)
    if value is None:
        assert rows == () and len(problems) == 1
        assert problems[0].startswith("boats.csv row 2, column value: found")
    else:
        assert problems == []
        assert rows[0].value == (None if value is ... else value)


def test_a_decimal_comma_is_refused_with_the_number_that_was_meant(read):
    _, problems = read(f'{HEADING}\nskiff,12 ft,"12,5",\n')
    assert problems == ['boats.csv row 2, column price: found "12,5"; allowed: a number of at least 0 (did you mean 12.5?)']


def test_problems_are_sorted_by_file_row_and_column_and_said_once():
    unsorted = [tables.Problem("b.csv", 2, "x", "1", "y"), tables.Problem("a.csv", 10, "x", "1", "y"),
                tables.Problem("a.csv", 9, "x", "1", "y"), tables.Problem("a.csv", 9, "x", "1", "y")]  # fmt: skip
    error = tables.TableProblems("here", unsorted)
    assert [(problem.file, problem.row) for problem in error.problems] == [("a.csv", 9), ("a.csv", 10), ("b.csv", 2)]
    assert str(error).splitlines()[0] == "3 problems in here; nothing was loaded."


def test_a_column_with_a_default_may_be_left_out_and_no_other(read):
    class Ferry(Row):
        ferry: Identifier = column("id of the ferry", key=True)
        note: OptionalText = column("note", default=None)

    rows, problems = read("ferry\nlark\n", Ferry)
    assert problems == [] and rows[0].note is None
    assert read("note\nleaks\n", Ferry)[1] == ["boats.csv row 1, column ferry: found nothing; allowed: a column ferry"]


def test_a_column_says_once_what_it_is(read):
    class Trip(Row, read_by="screens"):
        trip: Identifier = column("id of the trip", key=True)
        boat: Reference = column("boat that goes", refers_to="boats.boat", also=("any",), read_by="gates")
        length: quantity("mile") = column("how far")

    assert [name for name, said in Trip.columns.items() if said.key] == ["trip"]
    assert Trip.columns["boat"].refers_to == ("boats.boat",) and Trip.columns["boat"].read_by == "gates"
    assert Trip.columns["length"].allowed.unit == "mile" and Trip.columns["length"].read_by == "screens"
