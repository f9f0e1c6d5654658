"""Every row of cases.csv: what a source says against what the package computes.

Expected values are independent of this code. A row names its source and how strong it is: read in
the source, in a page that quotes it, from memory, common practice, or computed independently.
"""

import csv
import json
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

from heritagemove.units.units import Quantity

TABLE = Path(__file__).with_name("cases.csv")
KINDS = {"source", "secondary", "memory", "common_practice", "computed"}


def cases():
    with TABLE.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def argument(value):
    """Turn a JSON value of the inputs column into an argument."""
    if isinstance(value, str):
        if value.startswith("="):
            return value[1:]
        number, _, unit = value.partition(" ")
        return Quantity(float(number), unit)
    if isinstance(value, dict) and set(value) == {"values", "unit"}:
        return Quantity(np.array(value["values"], dtype=float), value["unit"])
    if isinstance(value, dict):
        return {key: argument(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [argument(entry) for entry in value]
    return value


def computed(case):
    module, _, name = case["check"].rpartition(".")
    result = getattr(import_module(f"heritagemove.{module}"), name)(
        **{key: argument(value) for key, value in json.loads(case["inputs"]).items()}
    )
    for step in filter(None, case["picks"].split(".")):
        result = result[int(step)] if step.lstrip("-").isdigit() else getattr(result, step)
    if case["unit"]:
        result = result.m_as(case["unit"])
    return result


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case['check']}-{case['expected']}"[:80])
def test_the_computed_value_is_the_source_s(case):
    assert case["kind"] in KINDS and case["source"]
    found = computed(case)
    if case["tolerance"] == "":
        assert str(found) == case["expected"]
    else:
        assert float(found) == pytest.approx(float(case["expected"]), abs=float(case["tolerance"]), rel=0)


def test_each_case_would_fail_on_another_value():
    """The comparison is not vacuous: an expected value moved by ten tolerances is refused."""
    numeric = [case for case in cases() if case["tolerance"] not in ("", "0")]
    assert numeric
    for case in numeric:
        moved = float(case["expected"]) + 10 * float(case["tolerance"])
        assert abs(float(computed(case)) - moved) > float(case["tolerance"])


#: The eight subjects of the checks, with the modules that answer for each.
SUBJECTS = {
    "axle load": ("axle_load",),
    "rail bridge": ("rail_bridge", "moving_loads"),
    "clearance": ("clearance", "curve_geometry", "load_outline"),
    "lifting": ("lifting", "lift_site", "slings", "wind"),
    "road": ("road", "road_bridge", "bridge_formula", "swept_path", "permits", "transporter"),
    "securement": ("securement", "restraint", "rail_securement", "load_placement"),
    "haulage": ("haulage", "resistance"),
    "running": ("running", "transit"),
}
#: Functions for which no three worked values were found outside; what stands in for them.
TOO_FEW_OUTSIDE = {
    "lift_site.least_radius": "a sum of lengths in the plan of the crane",
    "lift_site.tail_room": "as least_radius",
    "permits.haul_days": "a division into whole days; two published moves",
    "restraint.chains_to_hold": "the accelerations of the rule, angles by hand",
    "restraint.restraint": "as chains_to_hold",
    "road_bridge.posted": "a comparison; practice at a weight sign",
    "swept_path.least_turn_width": "right triangles with whole sides; a body moved through the turn point by point",
    "wind.wind_allowed": "one contractor's sheet; the area that a chart counts is from a maker's manual",
    "transporter.transporter_ground_pressure": "the published method, with tares from memory put in by hand",
}


def outside(cases):
    """Count the cases whose expected value comes from outside, not from our own arithmetic."""
    return sum(case["kind"] != "computed" for case in cases)


def by_function():
    found: dict[str, list[dict]] = {}
    for case in cases():
        found.setdefault(case["check"], []).append(case)
    return found


@pytest.mark.parametrize("subject", SUBJECTS)
def test_each_subject_has_three_cases_from_outside(subject):
    assert outside([case for case in cases() if case["check"].split(".")[-2] in SUBJECTS[subject]]) >= 3


def test_each_function_has_three_cases_from_outside_or_is_named_with_what_stands_in():
    few = {".".join(name.split(".")[-2:]) for name, rows in by_function().items() if outside(rows) < 3}
    ours = {name for name in few if name.split(".")[0] in {module for row in SUBJECTS.values() for module in row}}
    assert ours == set(TOO_FEW_OUTSIDE)


def test_a_value_from_memory_says_so():
    wrong = [case["source"] for case in cases() if case["kind"] == "memory" and "memory" not in case["source"].lower()]
    assert wrong == []


def test_the_differences_from_the_sources_are_printed(capsys):
    text = f"\n{'check':<55}{'cases':>6}{'outside':>9}{'largest diff':>14}\n"
    for name, rows in sorted(by_function().items()):
        numbers = [abs(float(computed(c)) - float(c["expected"])) for c in rows if c["tolerance"] != ""]
        largest = f"{max(numbers):.4g}" if numbers else "words"
        text += f"{name:<55}{len(rows):>6}{outside(rows):>9}{largest:>14}\n"
    with capsys.disabled():
        print(text)
    assert len(by_function()) > 50
