"""Documentation that is generated stays equal to what it is generated from."""

import inspect
import re
from importlib import import_module
from pathlib import Path

import heritagemove
from heritagemove.museum import column_tables
from heritagemove.museum.rows import MUSEUM_TABLES, REFERENCE_TABLES

TOP = Path(__file__).resolve().parents[1]
PACKAGE = TOP / "heritagemove"


def test_data_readme_describes_every_column_as_the_row_models_do():
    text = (TOP / "data" / "README.md").read_text(encoding="utf-8")
    generated = text.split(column_tables.BEGIN)[1].split(column_tables.END)[0]
    assert generated.strip() == column_tables.column_tables().strip()


def test_every_column_has_a_meaning_and_an_allowed_value():
    for file, model in (MUSEUM_TABLES | REFERENCE_TABLES).items():
        for name, field in model.model_fields.items():
            assert field.description, f"{file} {name}"
            assert any(isinstance(entry, column_tables.Allowed) for entry in field.metadata), f"{file} {name}"


def test_every_public_name_of_the_package_exists_and_is_documented():
    for name in heritagemove.__all__[1:]:
        assert inspect.getdoc(getattr(heritagemove, name)), name


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
