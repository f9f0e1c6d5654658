"""Documentation that is generated stays equal to what it is generated from."""

import ast
import inspect
import re
from importlib import import_module
from pathlib import Path

import heritagemove
from heritagemove.museum import column_tables
from heritagemove.museum.rows import TABLES

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
