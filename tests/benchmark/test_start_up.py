"""What the first answer costs: processor time of a fresh start, as a ratio to importing what no table is read without."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from measuring import children_seconds

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "data" / "tamber_river")
YARDSTICK = "import numpy, pydantic, pint"
pytestmark = pytest.mark.benchmark


@pytest.fixture(scope="module")
def processor_time(tmp_path_factory):
    """Return a function for the least processor time of some fresh starts, the first of which leaves bytecode behind [s]."""
    kept = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(tmp_path_factory.mktemp("bytecode"))}

    def least(*words):
        spent = []
        for _ in range(4):
            before = children_seconds()
            subprocess.run([sys.executable, *words], cwd=ROOT, check=True, stdout=subprocess.DEVNULL, env=os.environ | kept)
            spent.append(children_seconds() - before)
        return min(spent)

    return least


STARTS = {
    "import and read": ("-c", f"import heritagemove.museum.museum as read; read.load_museum({DEMO!r})"),
    "check": ("-m", "heritagemove", "check", DEMO),
    "summary": ("-m", "heritagemove", "summary", DEMO),
}


@pytest.mark.parametrize(
    ("name", "target", "bound"), [("import and read", 1.35, 2.4), ("check", 1.85, 4.2), ("summary", 1.85, 3.0)]
)
def test_a_fresh_start_against_what_it_cannot_do_without(processor_time, record, name, target, bound):
    yardstick, spent = processor_time("-c", YARDSTICK), processor_time(*STARTS[name])
    record(f"start-up: {name} ({spent:.2f} s), times {YARDSTICK}", spent / yardstick, target, bound)


def test_reading_a_museum_imports_no_tables_of_numbers_and_no_charts():
    """Libraries that take as long as all the rest wait until somebody needs them."""
    heavy = ("pandas", "scipy.optimize", "scipy.stats", "scipy.special", "matplotlib", "openpyxl", "icalendar", "ipywidgets")
    code = f"import sys; from heritagemove.museum.museum import load_museum; load_museum({DEMO!r}); print(*sys.modules)"
    said = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True).stdout.split()
    assert not set(heavy) & set(said)
