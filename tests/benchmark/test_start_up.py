"""What the first answer costs: processor time of a fresh start, as a ratio to importing what no table is read without."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "data" / "tamber_river")
YARDSTICK = "import numpy, pydantic, pint"
#: Ratios on the day before libraries were imported where they are used; the aim is half of each.
BEFORE = {"import and read": 2.7, "check": 3.7}

pytestmark = pytest.mark.benchmark


def processor_time(*words):
    """Return the least processor time of three fresh starts [s]."""
    spent = []
    for _ in range(3):
        before = os.times()
        subprocess.run([sys.executable, *words], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
        after = os.times()
        spent.append(after.children_user + after.children_system - before.children_user - before.children_system)
    return min(spent)


def test_a_fresh_start_is_told_against_what_it_cannot_do_without(capsys):
    yardstick = processor_time("-c", YARDSTICK)
    read = f"from heritagemove.museum.museum import load_museum; load_museum({DEMO!r})"
    starts = {
        "import and read": processor_time("-c", "import heritagemove; " + read),
        "check": processor_time("-m", "heritagemove", "check", DEMO),
        "summary": processor_time("-m", "heritagemove", "summary", DEMO),
    }
    with capsys.disabled():
        for name, spent in starts.items():
            was = f", was {BEFORE[name]:.1f}" if name in BEFORE else ""
            print(f"\nstart-up: {name} {spent:.2f} s, {spent / yardstick:.1f} times {YARDSTICK}{was}", end="")
        print()
    assert starts["import and read"] / yardstick < 0.8 * BEFORE["import and read"]


def test_reading_a_museum_imports_no_tables_of_numbers_and_no_charts():
    """Libraries that take as long as all the rest wait until somebody needs them."""
    heavy = ("pandas", "scipy.optimize", "scipy.stats", "scipy.special", "matplotlib", "openpyxl", "icalendar", "ipywidgets")
    code = f"import sys; from heritagemove.museum.museum import load_museum; load_museum({DEMO!r}); print(*sys.modules)"
    said = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True).stdout.split()
    assert not set(heavy) & set(said)
