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
