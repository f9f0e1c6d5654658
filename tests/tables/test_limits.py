"""What is refused before it is read: too much, links, paths that leave the folder, files that are no tables."""

import os
import time
from pathlib import Path

import pytest

from heritagemove.files import tables
from heritagemove.files.tables import TableProblems, read_table
from heritagemove.museum import scenario_file
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.rows.survey import Observation
from heritagemove.museum.rows.vehicles import Vehicle

README = Path(__file__).resolve().parents[2] / "data" / "README.md"


def refusal(folder):
    with pytest.raises(TableProblems) as caught:
        load_museum(folder)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("target", ["outside.csv", "tamber_river/rates.csv"])
def test_a_table_that_is_a_link_is_refused_wherever_it_leads(museum_copy, target):
    (museum_copy.folder.parent / "outside.csv").write_text("secret")
    link = museum_copy.folder / "funds.csv"
    link.unlink()
    link.symlink_to(museum_copy.folder.parent / target)
    allowed = "a file of its own: a link may lead out of the museum's folder"
    assert refusal(museum_copy.folder) == [f'funds.csv: found "a link"; allowed: {allowed}']


def test_a_link_in_place_of_museum_toml_is_refused_and_nothing_of_it_is_shown(museum_copy):
    secret = museum_copy.folder.parent / "secret"
    secret.write_text("password = 1")
    (museum_copy.folder / "museum.toml").unlink()
    (museum_copy.folder / "museum.toml").symlink_to(secret)
    (line,) = refusal(museum_copy.folder)
    assert line.startswith('museum.toml: found "a link"') and "password" not in line


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes among its files")
def test_a_pipe_or_a_folder_in_place_of_a_table_does_not_hang(museum_copy):
    for file, make in (("funds.csv", os.mkfifo), ("quotes.csv", os.mkdir)):
        (museum_copy.folder / file).unlink()
        make(museum_copy.folder / file)
    assert [line.partition(";")[0] for line in refusal(museum_copy.folder)] == [
        'funds.csv: found "no such file"',
        'quotes.csv: found "no such file"',
    ]


@pytest.mark.parametrize(
    "photo",
    ["../secret.jpg", "/etc/passwd", "photos/../../secret.jpg", "C:\\secret.jpg", "..\\secret.jpg", "~/secret.jpg",
     "http://192.0.2.1/a.jpg", "//192.0.2.1/a.jpg", "javascript:alert(1)"],
)  # fmt: skip
def test_a_photograph_outside_the_museums_folder_is_refused(museum_copy, photo):
    museum_copy.set("survey.csv", 2, "photo", photo)
    allowed = "a file in the museum's folder, as photos/box_1L.jpg, or blank"
    (line,) = refusal(museum_copy.folder)
    assert line.startswith("survey.csv row 2, column photo: found") and allowed in line


def test_a_photograph_in_a_folder_below_is_accepted(museum_copy):
    museum_copy.set("survey.csv", 2, "photo", "photos/box 1L.jpg")
    assert load_museum(museum_copy.folder).survey[0].photo == "photos/box 1L.jpg"


def test_the_limits_stand_in_the_readme_of_the_tables():
    text = README.read_text(encoding="utf-8")
    for limit in (tables.LARGEST_FILE_BYTES, tables.MOST_ROWS, tables.MOST_COLUMNS, tables.LONGEST_CELL,
                  scenario_file.LARGEST_SCENARIO_BYTES):  # fmt: skip
        assert f"{limit:,}" in text, limit


@pytest.mark.parametrize(
    ("content", "found"),
    [
        ("a = " + "[\n" * 40_000, "recursion"),
        ("seed = " + "9" * 1_990, "museum.toml"),
        ("seed = " + "9" * 50_000, "a line of 50,007 bytes"),
        ("a = 1\n" * 2, "overwrite"),
        ("a" * 100_001, "100,001 bytes"),
        ("seed = 1\x00", "museum.toml"),
        ("x." * 20_000 + "x = 1", "a line of 40,005 bytes"),
        (("x." * 990 + "x = 1\n") * 40, "museum.toml"),
    ],
)
def test_a_museum_file_made_to_exhaust_its_reader_is_a_problem_like_any_other(museum_copy, content, found):
    (museum_copy.folder / "museum.toml").write_text(content)
    begin = time.perf_counter()
    lines = refusal(museum_copy.folder)
    assert time.perf_counter() - begin < 2
    assert any(found in line for line in lines) and all(line.startswith("museum.toml") for line in lines)


def filled(path, heading, line, size=tables.LARGEST_FILE_BYTES):
    """Write as many lines as the limits of rows and bytes allow."""
    count = min(tables.MOST_ROWS - 1, (size - len(heading) - 1) // (len(line) + 1))
    path.write_text(heading + "\n" + (line + "\n") * count)
    return path


LARGEST = [
    ("every cell wrong", ",".join(Vehicle.model_fields), ",".join(["wrong"] * len(Vehicle.model_fields)), Vehicle),
    ("long words", ",".join(Observation.model_fields), ",".join(["x" * 1999] * len(Observation.model_fields)), Observation),
    ("two million columns", "a," * 2_000_000, "", Observation),
    ("quotes that open", ",".join(Observation.model_fields), '"', Observation),
    ("quotes in quotes", ",".join(Observation.model_fields), '""""' * 100, Observation),
    ("numbers without end", ",".join(Vehicle.model_fields), ",".join(["9" * 1999] * len(Vehicle.model_fields)), Vehicle),
]


@pytest.mark.parametrize(("heading", "line", "model"), [case[1:] for case in LARGEST], ids=[case[0] for case in LARGEST])
def test_the_largest_file_that_is_looked_at_is_refused_within_two_seconds(tmp_path, heading, line, model):
    path = filled(tmp_path / "large.csv", heading, line)
    begin = time.process_time()
    rows, problems = read_table(path, model)
    assert time.process_time() - begin < 2
    assert rows == () and problems
    assert len(problems) <= tables.MOST_PROBLEMS + len(model.model_fields) + 1
    assert len(str(TableProblems("large", problems))) < 20_000


def test_every_table_says_what_is_missing_when_it_is_empty(tmp_path):
    for file, model in MUSEUM_TABLES.items():
        (tmp_path / file).write_text("")
        rows, (problem,) = read_table(tmp_path / file, model)
        assert rows == () and str(problem).startswith(f"{file} row 1: found nothing; allowed: a heading row: ")
