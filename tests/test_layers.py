"""Imports point down: a module may import only what a lower layer offers."""

import ast
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "heritagemove"

# Layer of each module or sub-package. One that is missing here fails the test below.
LAYERS = {
    "unit_names": -1,
    "units": 0,
    "measures": 0.5,
    "saving": 0,
    "damage": 0,
    "tables": 1,
    "drivers": 1,
    "calendars": 1,
    "rows": 2,
    "rules": 2.1,
    "museum_file": 1.5,
    "tables_xlsx": 1.5,
    "museum": 2.2,
    "documentation": 3,
    "museum_writing": 3,
    "as_read": 3.1,
    "watching": 7,
    "schedule": 3,
    "sampling": 3,
    "checks": 3,
    "evidence": 0,
    "survey": 2.5,
    "readiness": 4,
    "seasons": 3.1,
    "draws": 3.5,
    "simulation": 4,
    "weighing": 4.5,
    "branches": 5,
    "results": 5.1,
    "decision": 5.2,
    "carry_over": 5.2,
    "comparison": 5.3,
    "influence": 5.4,
    "what_if": 5.4,
    "sensitivity": 5.4,
    "distance_checks": 5.3,
    "cost_curves": 5.35,
    "break_even": 5.4,
    "money_tables": 5.4,
    "half_widths": 3,
    "correlation": 5.4,
    "joint": 5.4,
    "decision_analysis": 3,
    "regret": 5.35,
    "doubts": 5.35,
    "criteria": 5.4,
    "mitigation": 5.4,
    "basis_shares": 5.4,
    "knowing": 5.4,
    "sweep": 5.5,
    "call_outs": 5.4,
    "fleet": 5.5,
    "set_search": 5.52,
    "best_set": 5.55,
    "lost_funds": 5.57,
    "payments": 5.52,
    "spending": 5.53,
    "outside_view": 5.5,
    "funding": 5.55,
    "doing_nothing": 5.5,
    "progress": 5.4,
    "commitments": 5.4,
    "papers": 5.45,
    "earned_value": 3,
    "close_out": 5.55,
    "amending": 3,
    "tracking": 5.5,
    "scenarios": 5.6,
    "workbook": 7,
    "icalendar_export": 7,
    "starter": 3.1,
    "first_steps": 3.2,
    "missing": 5.4,
    "charts": 6,
    "report": 7,
    "panels": 8,
    "__main__": 9,
}
# A sub-package's modules may see each other.
SUB_PACKAGES = {"rows", "checks", "charts", "report", "panels"}
ONLY_IN = {"ipywidgets": "panels", "IPython": "panels", "matplotlib": "charts", "jinja2": "report"}


def imports_of(file: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file.name}: relative import"
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def room(file: Path) -> str:
    return file.relative_to(PACKAGE).parts[0].removesuffix(".py")


def modules() -> list[Path]:
    return [file for file in sorted(PACKAGE.rglob("*.py")) if file != PACKAGE / "__init__.py"]


def test_every_module_stands_in_a_layer():
    assert {room(file) for file in modules()} <= set(LAYERS)


def test_imports_only_point_down():
    wrong = []
    for file in modules():
        here = room(file)
        for name in imports_of(file):
            parts = name.split(".")
            if parts[0] != "heritagemove" or len(parts) < 2 or parts[1] not in LAYERS:
                continue
            there = parts[1]
            if LAYERS[there] >= LAYERS[here] and not (here == there and here in SUB_PACKAGES):
                wrong.append(f"{file.relative_to(PACKAGE)} imports {name}")
    assert wrong == []


def test_no_module_imports_the_package_itself():
    names = {"load_museum", "compare", "explore", "write_report"}
    for file in modules():
        found = imports_of(file)
        assert not {f"heritagemove.{name}" for name in names} & found, file


def test_checks_and_simulation_do_not_know_each_other():
    for file in modules():
        if room(file) == "checks":
            assert not any(name.startswith("heritagemove.simulation") for name in imports_of(file)), file
        if room(file) == "simulation":
            assert not any(name.startswith("heritagemove.checks") for name in imports_of(file)), file


def test_widgets_charts_and_templates_stay_in_their_rooms():
    for file in modules():
        for name in imports_of(file):
            top = name.split(".")[0]
            assert ONLY_IN.get(top, room(file)) == room(file), f"{file}: {name}"
            assert name != "matplotlib.pyplot", file


def test_check_subjects_import_only_units_and_each_other():
    runners = {
        "screening.py", "carriage.py", "flat_car.py", "turns.py", "by_rail.py", "by_road.py", "lookup.py",
        "gates.py", "lift_gates.py", "rail_gates.py", "road_gates.py", "running_gates.py",
    }  # fmt: skip
    for file in (PACKAGE / "checks").glob("*.py"):
        if file.name in runners:
            continue
        own = {name for name in imports_of(file) if name.startswith("heritagemove")}
        allowed = ("heritagemove.units", "heritagemove.checks")
        assert all(name.startswith(allowed) or name == "heritagemove" for name in own), (file, own)
