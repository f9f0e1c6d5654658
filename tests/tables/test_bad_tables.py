"""One folder a defect: what was edited, and the exact lines the planner then reads."""

import tomllib
from pathlib import Path

import pytest

from heritagemove.__main__ import main
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import load_museum

BAD = sorted(folder for folder in (Path(__file__).with_name("bad")).iterdir() if folder.is_dir())


def damage(copy, folder):
    edit = tomllib.loads((folder / "edit.toml").read_text(encoding="utf-8"))
    for cell in edit.get("cell", []):
        copy.set(cell["file"], cell["row"], cell["column"], cell["text"])
    for row in edit.get("row", []):
        cells = copy.cells(row["file"])
        cells[row["row"] - 1 : row["row"] - 1 + row.get("removed", 0)] = row.get("cells", [])
        copy.write(row["file"], cells)
    for gone in edit.get("without", []):
        heading, *cells = copy.cells(gone["file"])
        kept = [line for line in cells if line[heading.index(gone["column"])] != gone["text"]]
        copy.write(gone["file"], [heading, *kept])
    for replaced in edit.get("text", []):
        path = copy.folder / replaced["file"]
        content = path.read_text(encoding="utf-8")
        assert replaced["old"] in content
        path.write_bytes(content.replace(replaced["old"], replaced["new"], 1).encode(replaced.get("encoding", "utf-8")))
    for file in edit.get("removed", []):
        (copy.folder / file).unlink()


@pytest.mark.parametrize("folder", BAD, ids=lambda folder: folder.name)
def test_a_defect_gives_its_exact_message_with_status_2_and_writes_nothing(museum_copy, folder, tmp_path, capsys):
    damage(museum_copy, folder)
    page = tmp_path / "page.html"
    arguments = ["report", str(museum_copy.folder), "--vehicle", "caboose", "--out", str(page)]
    assert main(arguments) == 2
    assert not page.exists()
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "Traceback" not in streams.err
    heading, *lines = streams.err.splitlines()
    expected = (folder / "expected.txt").read_text(encoding="utf-8").splitlines()
    count = len(expected)
    assert heading == f"{count} problem{'s' * (count > 1)} in {museum_copy.folder}; nothing was loaded."
    assert [line.strip() for line in lines] == expected



def test_there_are_at_least_fifteen_defects():
    assert len(BAD) >= 15


def test_a_notebook_shows_the_lines_and_no_traceback(museum_copy):
    museum_copy.set("tasks.csv", 2, "likely", "three")
    with pytest.raises(TableProblems) as caught:
        load_museum(museum_copy.folder)
    assert caught.value._render_traceback_() == str(caught.value).split("\n")


def test_more_than_fifty_problems_are_counted(museum_copy):
    cells = museum_copy.cells("tasks.csv")
    column = cells[0].index("likely")
    for row in cells[1:61]:
        row[column] = "soon"
    museum_copy.write("tasks.csv", cells)
    with pytest.raises(TableProblems) as caught:
        load_museum(museum_copy.folder)
    lines = str(caught.value).splitlines()
    assert lines[0].startswith("60 problems")
    assert len(lines) == 52
    assert lines[-1] == "  and 10 more"


def test_spreadsheet_habits_are_accepted(museum_copy):
    """A byte-order mark, CRLF, thousands commas, blank rows and trailing blank cells change nothing."""
    before = load_museum(museum_copy.folder)
    cells = museum_copy.cells("rates.csv")
    high = cells[0].index("high")
    for row in cells[1:]:
        row[high] = f"{float(row[high]):,}" if float(row[high]) >= 1000 else row[high]
    text = "\r\n".join(",".join(f'"{entry}"' for entry in [*row, "", ""]) for row in [*cells, [""] * len(cells[0])])
    (museum_copy.folder / "rates.csv").write_bytes(text.encode("utf-8-sig"))
    after = load_museum(museum_copy.folder)
    assert after.rates == before.rates
    assert after.digest() == before.digest()


def test_a_missing_limit_of_a_leg_is_unknown_and_not_zero(museum_copy):
    museum_copy.set("legs.csv", 2, "clear_height", "")
    museum = load_museum(museum_copy.folder)
    assert museum.legs[0].clear_height is None
