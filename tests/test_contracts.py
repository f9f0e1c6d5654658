"""What the contracts in pyproject.toml cannot say: they are kept where a newcomer runs the tests, and by every module."""

import ast
from pathlib import Path

import heritagemove

PACKAGE = Path(heritagemove.__file__).parent
ROOMS = {folder.name for folder in PACKAGE.iterdir() if (folder / "__init__.py").is_file()}


def test_no_module_imports_the_package_itself():
    """The package's own names are for notebooks: a module names the room it takes from."""
    wrong = []
    for file in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import) and any(alias.name == "heritagemove" for alias in node.names):
                wrong.append(file.name)
            if isinstance(node, ast.ImportFrom) and node.module == "heritagemove":
                wrong += [f"{file.name}: {alias.name}" for alias in node.names if alias.name not in ROOMS]
    assert wrong == []


def test_no_public_name_is_a_room_s():
    assert not ROOMS & set(heritagemove.__all__)


def test_only_the_two_doors_stand_at_the_root():
    assert {file.name for file in PACKAGE.glob("*.py")} == {"__init__.py", "__main__.py"}


#: Names that stand twice, each with the reason; nothing else may. The first is one rule wired and stated.
TWICE = {
    "CHECKS": "each subject's wiring lists its own checks, and the rows of gates.csv which there are",
    "Lines": "what a file of rows and a sheet of rows is read from",
    "Quantity": "a row of quantities.csv, and pint's own type",
    "Row": "a row of any table, and a row of a sweep's table",
    "work": "what a path needs, for one weight and for every weight of the tolerance",
}


#: Names of a function that are another module's subject, each with the reason.
ELSEWHERE = {
    "checks": "what `check` runs over a folder while it is edited",
    "work": "what a path needs, not the rows it is made from",
}


def _public_names():
    """Yield each public name that a module defines, with the module."""
    for file in sorted(PACKAGE.rglob("*.py")):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                names = [node.name]
            else:
                targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
                names = [target.id for target in targets if isinstance(target, ast.Name)]
            yield from ((name, file.relative_to(PACKAGE)) for name in names if not name.startswith("_"))


def test_no_two_public_names_are_alike():
    found = {}
    for name, file in _public_names():
        found.setdefault(name, []).append(str(file))
    twice = {name: files for name, files in found.items() if len(files) > 1}
    assert {name: files for name, files in twice.items() if name not in TWICE} == {}
    assert set(TWICE) == set(twice), "a reason for a name that stands twice no longer"


def test_a_public_name_that_is_a_module_s_stands_in_that_module():
    """``axle_load`` is what the module of that name is about, and nothing else; a table's file is called as the table."""
    modules = {file.stem for file in PACKAGE.rglob("*.py") if file.parent.name != "rows"} | ROOMS
    wrong = [f"{file}: {name}" for name, file in _public_names() if name in modules - set(ELSEWHERE) and file.stem != name]
    assert wrong == []
