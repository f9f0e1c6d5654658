"""Documentation that is generated stays equal to what it is generated from."""

import ast
import inspect
import re
from importlib import import_module
from pathlib import Path

import pytest

import heritagemove
from heritagemove.__main__ import main
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.interview import Interview
from heritagemove.editing.starting_point import STANDS
from heritagemove.museum import column_tables
from heritagemove.museum.rows import TABLES
from heritagemove.trials.simulation import draw
from heritagemove.units.words import show_date

TOP = Path(__file__).resolve().parents[1]
PACKAGE = TOP / "heritagemove"


def test_the_list_of_columns_is_what_the_row_models_say():
    assert (TOP / "data" / "COLUMNS.md").read_text(encoding="utf-8") == column_tables.column_tables()


def test_every_column_says_what_it_holds_what_is_allowed_and_who_reads_it():
    for table, model in TABLES.items():
        for column in model.columns.values():
            assert column.means and column.allowed.text and column.read_by, f"{table}.{column.name}"


#: A table described in answers is read on screens: no cost or date hangs on it.
DESCRIBED = tuple(f"answers/{file.name}" for file in sorted((PACKAGE / "answers").glob("*_tables.py")))
#: Who reads a column -> the rooms that he stands in.
ROOMS = {
    "gates": ("checks", "survey", "museum/drivers.py", "museum/museum.py"),
    "costs and dates": ("trials", "compare", "answers", "whole_site", "following", "museum"),
    "screens": ("charts", "hand_over", "panels", *DESCRIBED),
    "check": ("museum",),
}


def _of_room(room):
    return (file for file in room.rglob("*.py") if str(file.relative_to(PACKAGE)) not in DESCRIBED)


def names_in(place):
    """Return every attribute and text of the code in a room: what it could read of a row."""
    files = [PACKAGE / place] if place.endswith(".py") else _of_room(PACKAGE / place)
    trees = [ast.parse(file.read_text(encoding="utf-8")) for file in files if "rows" not in file.parts]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    texts = {word for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str) for word in
             re.findall(r"\w+", node.value)}  # fmt: skip
    return texts | {node.attr for node in nodes if isinstance(node, ast.Attribute)}


def test_somebody_reads_every_column_that_says_so():
    named = {reader: set().union(*map(names_in, rooms)) for reader, rooms in ROOMS.items()}
    for table, model in TABLES.items():
        for column in model.columns.values():
            readers = set(ROOMS) & set(column.read_by.split(", "))
            # cost_low, cost_likely and cost_high are read together, by what they begin with.
            name = re.sub("(?<=_)(low|likely|high)$", "", column.name)
            found = any({column.name, name} & named[reader] for reader in readers)
            assert found or not readers or column.refers_to or column.key, f"{table}.{column.name}"


def test_no_column_is_read_by_nobody():
    unread = {f"{t}.{c.name}" for t, model in TABLES.items() for c in model.columns.values() if c.read_by == "nobody"}
    assert unread == set()


def test_what_the_documents_of_the_tables_link_to_is_there():
    for name in ("README.md", "COLUMNS.md", "OUTPUT.md"):
        for link in re.findall(r"\]\(([\w./]+)\)", (TOP / "data" / name).read_text(encoding="utf-8")):
            assert (TOP / "data" / link).exists(), link


def test_every_public_name_of_the_package_exists_and_has_an_example():
    for name in heritagemove.__all__[1:]:
        assert ">>> import heritagemove as hm" in inspect.getdoc(getattr(heritagemove, name)), f"{name} has no example"


def test_docstrings_name_only_parameters_that_exist():
    for file in PACKAGE.rglob("*.py"):
        parts = file.relative_to(TOP).with_suffix("").parts
        if parts[-1] in ("__init__", "__main__"):
            continue
        module = import_module(".".join(parts))
        for name, thing in inspect.getmembers(module, inspect.isfunction):
            if thing.__module__ != module.__name__ or name.startswith("_"):
                continue
            doc = inspect.getdoc(thing)
            assert doc, f"{module.__name__}.{name} has no docstring"
            section = re.search(r"\nParameters\n-+\n(.*?)(\n\w+\n-{3,}\n|\Z)", doc, re.S)
            named = re.findall(r"^(\*{0,2}\w[\w, *]*?) ?(?::|$)", section.group(1), re.M) if section else []
            known = set(inspect.signature(thing).parameters)
            for group in named:
                for parameter in re.split(r", ?", group):
                    assert parameter.strip("* ") in known, f"{module.__name__}.{name}: {parameter}"


def first_evening():
    """Return the answers of the first evening in data/README.md, by the heading of their table."""
    text = (TOP / "data" / "README.md").read_text(encoding="utf-8")
    text = text[text.index("## A first evening") : text.index("## Your own museum")]
    tables = re.findall(r"\| ([^|\n]+) \| answer \|\n *\|---\|---\|\n((?: *\|.*\|\n)+)", text)
    return text, {heading: [tuple(map(str.strip, row.strip(" |").split("|"))) for row in rows.splitlines()]
                  for heading, rows in tables}  # fmt: skip


@pytest.mark.long
def test_the_first_evening_comes_to_the_decision_it_says(tmp_path, capsys, monkeypatch):
    text, tables = first_evening()
    groups = {"The situation": "situation.", "The decision": "decision.", "The unit": "unit.our_unit.",
              "What gates ask": "fact.", "Both ends": "place.", "The way": "leg.road_route."}  # fmt: skip
    interview = Interview(tmp_path / "my_museum")
    for heading, rows in tables.items():
        answers = {}
        for label, answer in rows:
            asked = [each for each in interview.questions() if each.key.startswith(groups[heading])
                     and each.short.lower() == label.lower()]  # fmt: skip
            assert asked, f"{heading}: {label}"
            for each in asked:
                shown = {STANDS.get(word, word.replace("_", " ")): word for word in each.choices}
                answers[each.key] = shown.get(answer, answer)
        interview.answer_all(answers)
    assert f"after {interview.answers} answers" in text
    museum = interview.museum
    found = compare_paths(museum, "our_unit", {}, draw(museum, trials=100))
    assert "provisionally, haul on a multi-axle trailer" in found.sentence
    interview.write()
    monkeypatch.chdir(tmp_path)
    for line in re.findall(r"^ +python -m heritagemove (.*)$", text, re.M):
        few = " --trials 100" if line.startswith("compare") else ""
        assert main((line + few).split()) == 0, capsys.readouterr().err
    assert (tmp_path / "my_museum.xlsx").is_file()


def test_the_readme_shows_the_desk_and_one_result_on_its_first_screen(museum):
    top = (TOP / "README.md").read_text(encoding="utf-8").splitlines()[:12]
    (picture,) = re.findall(r"!\[.+\]\(([\w./]+)\)", "\n".join(top))
    assert (TOP / picture).stat().st_size < 100_000
    found = compare_paths(museum, "foundry_switcher", {}, draw(museum))
    said, decision = " ".join(top), found.decision
    for path in (found.choice, decision.fallback):
        assert f"(path {found.path(path).number})" in said
    assert f"Decide by {show_date(decision.decide_by)}" in said
    assert f"gone by {show_date(museum.scenario.deadline)}" in said
    assert f"set aside {round(decision.budget.at_confidence, -3):,.0f} {museum.scenario.currency}" in said
    assert f"{decision.chance_if_decided_then:.0%} to be gone" in said
