"""Every table of the demo, damaged in every way we could think of: read as it stands, or refused with the place.

A damaged table either loads and means what its text says, by a reading written here apart from
the package's own, or is refused with file, row and column. Nothing else: no other error, no
value that its text does not say, no wait of two seconds.
"""

import collections
import csv
import dataclasses
import io
import time
import tomllib
import typing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from heritagemove.files.tables import Problem, TableProblems, read_table
from heritagemove.museum import rows, rules
from heritagemove.museum.museum import load_museum
from heritagemove.museum.scenario_file import read_scenario
from tests.tables.plain_reading import says

DATA = Path(__file__).resolve().parents[2] / "data"
CASES = 2_100
LONGEST_WAIT = 2.0
MODELS = rows.MUSEUM_TABLES | rows.REFERENCE_TABLES
SCENARIO = "museum.toml"

HOSTILE = [
    "", " ", "unknown", "0", "-1", "1", "1.5", "1,5", "1,200", "0,500", "1.234,5", "1 200", "1e9", "1E+05", "nan", "inf",
    "-inf", "NaN", "98 ton", "98 t", "98 short_ton", "12 ft", "12'", "44'-6\"", "44 ft 6 in", "44 ft 14 in", "5 1/2 in",
    "5-Jan",
    "5-1/2 x 10", "1/2", "1/2/2027", "2027-01-02", "2027-02-30", "02/03/2027", "2027-01-02 00:00:00", "12,5 m", "13.56 m",
    "9 deg", "9°", "25%", "25 %", "15 mph", "$1,200", "€1,200", "1,200 USD", "1200 USD/axle", "USD", "percent", "yes", "no",
    "TRUE", "FALSE", "any", "none", "rail", "road", "#REF!", "#N/A", "########", "=1+1", "=HYPERLINK(\"x\")", "+1",
    "@x", "\t1",
    "10**10**10 m", "9" * 30, "9" * 70 + " lb", "x" * 61, "x" * 2_000, "x" * 2_001, "<script>alert(1)</script>",
    "a\nb", "a\rb",
    "\u0661\u0662", "\uff11", "12\u00a0lb", "½", "\u202elb 21", "\ufeff1", "\ufffd", "CafÃ©", "Café", "\x07",
    "__import__('os')",
    "a;b", ";", "a; a", "; ;", "0;15;19.5", "Mon;Tue", "1L", "judgment", "measured", "caboose", "crane_hours", "task_days",
    "-",
]  # fmt: skip
TOML_VALUES = ["1", "-1", "0.5", "80", "nan", "inf", "true", '""', '"USD"', '"2027-01-02"', "2027-01-02", "1900-01-01",
               "2027-01-02T00:00:00", "20270301", "1792022400", "[]", "[" * 900, "9" * 1900, "{}", "", "'x",
               "1e400"]  # fmt: skip


@dataclasses.dataclass
class Base:
    """The undamaged demo: its museum, its files, and what each line of a table was read as."""

    museum: object
    text: dict
    lines: dict
    read: dict


@pytest.fixture(scope="module")
def base():
    museum = load_museum(DATA / "tamber_river")
    folders = {file: "tamber_river" for file in rows.MUSEUM_TABLES} | {file: "reference" for file in rows.REFERENCE_TABLES}
    text = {file: (DATA / folder / file).read_text(encoding="utf-8-sig") for file, folder in folders.items()}
    lines = {file: list(csv.reader(io.StringIO(content, newline=""))) for file, content in text.items()}
    text[SCENARIO] = (DATA / "tamber_river" / SCENARIO).read_text(encoding="utf-8")
    read = {}
    for file in MODELS:
        table = getattr(museum, file.removesuffix(".csv"))
        read[file] = {_key(lines[file][0], lines[file][row.row_number - 1]): dict(row) for row in table}
    return Base(museum, text, lines, read)


def _key(heading, line):
    return frozenset(zip((name.strip() for name in heading), (cell.strip() for cell in line), strict=False))


def _as_csv(lines, ending="\n", quoting=csv.QUOTE_MINIMAL, delimiter=","):
    out = io.StringIO()
    if any("\r" in cell for line in lines for cell in line):
        quoting = csv.QUOTE_ALL  # the writer forgets to quote a carriage return
    csv.writer(out, lineterminator=ending, quoting=quoting, delimiter=delimiter).writerows(lines)
    return out.getvalue().encode("utf-8", "surrogatepass")


@st.composite
def damaged_cell(draw, base, file):
    lines = [list(line) for line in base.lines[file]]
    row = draw(st.integers(1, max(1, len(lines) - 1)))
    if row >= len(lines):
        lines.append([""] * len(lines[0]))
    column = draw(st.integers(0, len(lines[0]) - 1))
    text = lines[row][column]
    other = lines[draw(st.integers(1, len(lines) - 1))][draw(st.sampled_from([column, (column + 1) % len(lines[0])]))]
    place = draw(st.integers(0, len(text)))
    sign = draw(st.sampled_from(list("0123456789.,-/;:'\"%$ eExX°½\u00a0\u202e")))
    lines[row][column] = draw(
        st.sampled_from([text[:place] + sign + text[place:], text[:place] + text[place + 1 :], text.upper(), f"  {text} ",
                         other, text.replace(".", ","), text.replace(" ", ""), text + text, text + " lb",
                         text.replace(",", "")])
        | st.sampled_from(HOSTILE) | st.text(max_size=12)
    )  # fmt: skip
    return _as_csv(lines), (row + 1, lines[0][column])


@st.composite
def damaged_row(draw, base, file):
    lines = [list(line) for line in base.lines[file]]
    row = draw(st.integers(0, len(lines) - 1))
    how = draw(st.sampled_from(["out", "twice", "blank", "more", "fewer", "swap", "shift", "blank_between"]))
    if how == "out":
        del lines[row]
    elif how == "twice":
        lines.insert(row, list(lines[row]))
    elif how == "blank":
        lines[row] = [""] * len(lines[row])
    elif how == "more":
        lines[row].append(draw(st.sampled_from(["", " ", "x"])))
    elif how == "fewer":
        lines[row].pop()
    elif how == "swap":
        other = draw(st.integers(0, len(lines) - 1))
        lines[row], lines[other] = lines[other], lines[row]
    elif how == "shift":
        lines[row] = ["", *lines[row][:-1]]
    else:
        lines.insert(row, ["", ""])
    return _as_csv(lines), None


@st.composite
def damaged_column(draw, base, file):
    lines = [list(line) for line in base.lines[file]]
    width = len(lines[0])
    column, other = draw(st.integers(0, width - 1)), draw(st.integers(0, width - 1))
    how = draw(st.sampled_from(["out", "twice", "renamed", "moved", "unnamed", "titles_swapped", "blank", "same", "upper"]))
    for number, line in enumerate(lines):
        if how == "out":
            del line[column]
        elif how == "twice":
            line.append(line[column])
        elif how == "moved":
            line.insert(other, line.pop(column))
        elif how == "blank" and number:
            line[column] = ""
        elif how == "same" and number:
            line[column] = lines[1][column]
    if how in ("renamed", "unnamed", "upper"):
        lines[0][column] = {"renamed": lines[0][column] + "s", "unnamed": "", "upper": lines[0][column].upper()}[how]
    if how == "titles_swapped":
        lines[0][column], lines[0][other] = lines[0][other], lines[0][column]
    return _as_csv(lines), None


@st.composite
def damaged_file(draw, base, file):
    data, lines = base.text[file].encode(), base.lines[file]
    place = draw(st.integers(0, len(data) - 1))
    return draw(st.sampled_from([
        None, b"", b"\n\n", b"PK\x03\x04" + data[:200], b"\xd0\xcf\x11\xe0" + data[:50], data[:place],
        data[:place] + b"\0" + data[place:], data[:place] + b"\xeb" + data[place:], data[:place] + b'"' + data[place:],
        data[:place] + bytes([data[place] ^ 1 << draw(st.integers(0, 7))]) + data[place + 1 :],
        b"\xef\xbb\xbf" + data, data.decode().encode("utf-16"), data.decode().encode("utf-16-be"),
        data + "caf\u00e9".encode("latin-1"), data.replace(b"\n", b"\r\n"), data.replace(b"\n", b"\r"), data + b"\n\n,,,\n",
        _as_csv(lines, quoting=csv.QUOTE_ALL), _as_csv(lines, delimiter=";"), _as_csv(lines, delimiter="\t"),
        _as_csv(lines[:1]), data[data.index(b"\n") + 1 :], data * 2,
    ])), None  # fmt: skip


@st.composite
def damaged_scenario(draw, base):
    lines = base.text[SCENARIO].splitlines()
    row = draw(st.integers(0, len(lines) - 1))
    how = draw(st.sampled_from(["value", "value", "value", "out", "twice", "key", "cut", "byte"]))
    if how == "value" and "=" in lines[row]:
        lines[row] = lines[row].partition("=")[0] + "= " + draw(st.sampled_from(TOML_VALUES))
    elif how == "out":
        del lines[row]
    elif how == "twice":
        lines.insert(row, lines[row])
    elif how == "key":
        lines[row] = "x" + lines[row]
    elif how == "cut":
        lines = lines[:row]
    data = bytearray("\n".join(lines).encode())
    if how == "byte":
        data[draw(st.integers(0, len(data) - 1))] ^= 1 << draw(st.integers(0, 7))
    return bytes(data), None


@st.composite
def damaged(draw, base):
    file = draw(st.sampled_from([*MODELS, *[SCENARIO] * 4]))
    if file == SCENARIO:
        return file, "museum.toml", *draw(damaged_scenario(base))
    kind = draw(st.sampled_from(["cell", "cell", "cell", "row", "column", "file"]))
    make = {"cell": damaged_cell, "row": damaged_row, "column": damaged_column, "file": damaged_file}[kind]
    return file, kind, *draw(make(base, file))


def load_with(base, file, path):
    """Read one file in place of the demo's and check it against the others, as load_museum does."""
    if file == SCENARIO:
        scenario, problems = read_scenario(path)
        changed = None if problems else dataclasses.replace(base.museum, scenario=scenario)
    else:
        table, problems = read_table(path, MODELS[file])
        changed = None if problems else dataclasses.replace(base.museum, **{file.removesuffix(".csv"): table})
    return changed, problems or list(rules.cross_table_problems(changed))


def assert_means_what_it_says(base, file, data, museum):
    """Each line of the table is read as in the demo if it stands there, and otherwise as its text says."""
    lines = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    heading = [name.strip() for name in lines[0]]
    kept = [line for line in lines[1:] if any(cell.strip() for cell in line)]
    table = getattr(museum, file.removesuffix(".csv"))
    assert len(table) == len(kept)
    hints = typing.get_type_hints(MODELS[file])
    for row, line in zip(table, kept, strict=True):
        known = base.read[file].get(_key(heading, line)) if len(set(heading)) == len(heading) else None
        if known is not None and set(heading) == set(known):
            assert dict(row) == known
            continue
        for name, cell in zip(heading, line, strict=False):
            if name:
                assert says(cell.strip(), getattr(row, name), hints[name]), (file, row.row_number, name, cell)


def assert_says_where(file, kind, place, problems):
    text = str(TableProblems("museum", problems))
    assert text.count("found") >= min(len(set(problems)), 30) and "allowed: " in text
    for problem in problems:
        assert isinstance(problem, Problem) and problem.file in {*MODELS, SCENARIO} and problem.allowed
        if kind == "cell":
            assert problem.file == SCENARIO or (problem.row and problem.column) or _of_absent_rows(problem), problem
    if kind in ("row", "column"):
        assert any(problem.row or _of_absent_rows(problem) for problem in problems)
    if kind == "cell":
        # What is wrong in the cell itself is said of that cell; what it breaks elsewhere is said there.
        own = {(problem.row, problem.column) for problem in problems if problem.file == file}
        assert place in own or all(problem.row or _of_absent_rows(problem) for problem in problems if problem.file in MODELS)


def _of_absent_rows(problem):
    """A row that ought to be there and is not has no number."""
    return problem.row == 0 and ("at least one" in problem.allowed or " row" in problem.found)


@pytest.mark.long
def test_a_damaged_table_is_read_as_it_stands_or_refused_with_the_place(base, tmp_path, capsys):
    counts, waits, seen = collections.Counter(), [], 0

    @settings(max_examples=CASES, deadline=None, derandomize=True, database=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(damaged(base))
    def run(case):
        nonlocal seen
        file, kind, data, place = case
        path = tmp_path / file
        path.unlink(missing_ok=True)
        if data is not None:
            path.write_bytes(data)
        begin = time.process_time()  # a busy machine is not a slow reader
        museum, problems = load_with(base, file, path)
        waits.append((time.process_time() - begin, file, kind))
        seen += 1
        if problems:
            assert_says_where(file, kind, place, problems)
        elif file == SCENARIO:
            assert museum.scenario.model_dump(exclude_unset=True) == tomllib.loads(data.decode("utf-8-sig"))
        elif data is None:  # one that may be missing has no rows then
            assert getattr(museum, file.removesuffix(".csv")) == ()
        else:
            assert_means_what_it_says(base, file, data, museum)
        counts[kind, "refused" if problems else "loaded"] += 1

    run()
    with capsys.disabled():
        shown = ", ".join(f"{kind} {outcome} {count}" for (kind, outcome), count in sorted(counts.items()))
        print(f"\ndamaged tables: {seen:,} cases; {shown}; longest wait {max(waits)[0]:.2f} s")
    assert seen >= 2_000
    assert max(waits)[0] < LONGEST_WAIT, max(waits)
    assert all(counts[kind, outcome] > 20 for kind in ("cell", "row", "column", "file") for outcome in ("refused", "loaded"))
    assert counts["museum.toml", "refused"] > 20
