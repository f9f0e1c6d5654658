"""Two people edit two copies: the copies are joined row by row, conflicts are listed and kept, nothing is lost."""

import csv
import random
import shutil
from pathlib import Path

import pytest

from heritagemove import __main__ as command
from heritagemove.editing.merging import merge
from heritagemove.editing.writing import Typed, typed
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES

DATA = Path(__file__).resolve().parents[2] / "data"


@pytest.fixture(scope="module")
def base():
    return typed(DATA / "tamber_river")


def cells(museum, file):
    heading, *lines = museum.tables[file]
    return [dict(zip(heading, line, strict=True)) for line in lines]


def edited(museum, file, edit):
    heading = museum.tables[file][0]
    rows = cells(museum, file)
    edit(rows)
    lines = [heading, *([row[name] for name in heading] for row in rows)]
    return Typed(museum.scenario, museum.tables | {file: lines}, museum.toml)


def test_a_copy_that_nobody_changed_joins_to_itself(base):
    merged = merge(base, base, base)
    assert merged.conflicts == () and merged.museum.scenario == base.scenario
    for file in MUSEUM_TABLES:
        assert cells(merged.museum, file) == cells(base, file), file


def test_what_only_one_has_changed_is_taken_from_either_side(base):
    mine = edited(base, "rates.csv", lambda rows: rows[0].update(high="2300"))
    theirs = edited(base, "rates.csv", lambda rows: (rows[1].update(high="9999"), rows[0].update(title="Survey")))
    theirs = edited(theirs, "rates.csv", lambda rows: rows.reverse())
    theirs = edited(theirs, "risks.csv", lambda rows: rows.pop(3))
    merged = merge(base, mine, theirs)
    rows = cells(merged.museum, "rates.csv")
    assert (rows[0]["high"], rows[0]["title"], rows[1]["high"]) == ("2300", "Survey", "9999")
    assert len(rows) == len(cells(base, "rates.csv")) and merged.conflicts == ()
    assert cells(base, "risks.csv")[3] not in cells(merged.museum, "risks.csv")


def test_what_both_have_changed_is_listed_with_all_three_values(base):
    mine = edited(base, "rates.csv", lambda rows: rows[0].update(high="2300"))
    theirs = edited(base, "rates.csv", lambda rows: rows[0].update(high="2400"))
    (conflict,) = merge(base, mine, theirs).conflicts
    rate = cells(base, "rates.csv")[0]
    assert (conflict.file, conflict.column, conflict.base) == ("rates.csv", "high", rate["high"])
    assert (conflict.mine, conflict.theirs) == ("2300", "2400") and conflict.row.startswith(rate["rate"])
    assert cells(merge(base, mine, theirs).museum, "rates.csv")[0]["high"] == "2300"


def test_a_row_that_one_took_out_and_the_other_changed_stays_and_is_listed(base):
    out = edited(base, "risks.csv", lambda rows: rows.pop(0))
    changed = edited(base, "risks.csv", lambda rows: rows[0].update(probability="0.99"))
    for sides in ((out, changed), (changed, out)):
        merged = merge(base, *sides)
        assert any(row["probability"] == "0.99" for row in cells(merged.museum, "risks.csv"))
        (conflict,) = merged.conflicts
        assert "(row taken out)" in (conflict.mine, conflict.theirs) and "0.99" in (conflict.mine, conflict.theirs)


def test_lines_of_both_logs_stay_and_two_answers_to_one_question_are_a_conflict(base):
    heading = base.tables["changes.csv"][0]
    lines = [dict(zip(heading, ["2027-04-20", who, "rates.csv", "2", "high", "1", "2", "x"], strict=True)) for who in "ab"]
    mine = edited(base, "changes.csv", lambda rows: rows.append(lines[0]))
    theirs = edited(base, "changes.csv", lambda rows: rows.append(lines[1]))
    assert cells(merge(base, mine, theirs).museum, "changes.csv")[-2:] == lines
    mine = edited(base, "survey.csv", lambda rows: rows[0].update(found="yes", source="she"))
    theirs = edited(base, "survey.csv", lambda rows: rows[0].update(found="no", source="he"))
    assert {conflict.column for conflict in merge(base, mine, theirs).conflicts} <= {"found", "source"}
    assert len(cells(merge(base, mine, theirs).museum, "survey.csv")) == len(cells(base, "survey.csv"))


def test_whatever_two_people_type_nothing_is_lost(base):
    """Random edits of both sides: each new text stands in the merged tables or in the list of conflicts."""
    chance = random.Random(14)

    def scribbled(who):
        museum, typed_texts = base, []
        for number in range(40):
            file = chance.choice([name for name in MUSEUM_TABLES if len(base.tables[name]) > 1])
            keys = [name for name, column in MUSEUM_TABLES[file].columns.items() if column.key]
            columns = [name for name in base.tables[file][0] if name not in keys]
            column, text, new = chance.choice(columns), f"{who}{number}", chance.random() < 0.2

            def edit(rows, column=column, text=text, new=new, keys=keys):
                row = chance.choice(rows)
                if new:
                    row = dict(row) | dict.fromkeys(keys, f"{text}key")
                    rows.insert(chance.randrange(len(rows)), row)
                typed_texts[:] = [old for old in typed_texts if old != row[column]]
                row[column] = text
                typed_texts.append(text)

            museum = edited(museum, file, edit)
        return museum, typed_texts

    for _ in range(10):
        (mine, my_texts), (theirs, their_texts) = scribbled("m"), scribbled("t")
        merged = merge(base, mine, theirs)
        found = {cell for lines in merged.museum.tables.values() for line in lines for cell in line}
        sides = [side for conflict in merged.conflicts for side in (conflict.mine, conflict.theirs)]
        found |= {text for side in sides for text in side.split("; ")}
        assert set(my_texts) | set(their_texts) <= found


def test_the_command_line_writes_the_joined_museum_with_its_conflicts(tmp_path, capsys):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    places = [tmp_path / name for name in ("base", "mine", "theirs")]
    for place in places:
        shutil.copytree(DATA / "tamber_river", place)
    text = (places[0] / "rates.csv").read_text(encoding="utf-8")
    (places[1] / "rates.csv").write_text(text.replace(",2700,", ",2300,", 1), encoding="utf-8")
    (places[2] / "rates.csv").write_text(text.replace(",2700,", ",2400,", 1), encoding="utf-8")
    toml = (places[2] / "museum.toml").read_text(encoding="utf-8")
    (places[2] / "museum.toml").write_text(toml.replace('place = "', 'place = "New ', 1), encoding="utf-8")
    for out in ("joined", "joined.xlsx"):
        assert command.main(["merge", *map(str, places), "--out", str(tmp_path / out)]) == 0
        said = capsys.readouterr().out
        assert 'high: was "2700"; mine "2300"; theirs "2400"' in said and "(1):" in said
        museum = load_museum(tmp_path / out)
        assert museum.rates[0].high == 2300 and museum.scenario.place.startswith("New ")
    with open(tmp_path / "joined" / "conflicts.csv", newline="", encoding="utf-8") as file:
        (line,) = csv.DictReader(file)
    assert (line["base"], line["mine"], line["theirs"]) == ("2700", "2300", "2400")
    assert command.main(["merge", *map(str, places), "--out", str(tmp_path / "joined")]) == 2
    assert "--replace" not in capsys.readouterr().err


def test_two_copies_that_are_in_order_apart_and_not_together_are_written_and_the_cells_named(tmp_path, capsys):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    places = [tmp_path / name for name in ("base", "mine", "theirs")]
    for place in places:
        shutil.copytree(DATA / "tamber_river", place)
    toml = (places[0] / "museum.toml").read_text(encoding="utf-8")
    base = load_museum(places[0]).scenario
    early, late = base.deadline.replace(year=base.deadline.year + 1), base.forced_scrap
    mine = toml.replace(f"forced_scrap = {late}", f"forced_scrap = {late.replace(year=2030)}")
    mine = mine.replace(f"deadline = {base.deadline}", f"deadline = {early}")
    (places[1] / "museum.toml").write_text(mine, encoding="utf-8")
    theirs = toml.replace(f"forced_scrap = {late}", f"forced_scrap = {base.deadline}")
    (places[2] / "museum.toml").write_text(theirs, encoding="utf-8")
    command.main(["merge", *map(str, places), "--out", str(tmp_path / "joined")])
    streams = capsys.readouterr()
    assert "forced_scrap" in streams.out and (tmp_path / "joined" / "conflicts.csv").is_file()
