"""Every row of cases.csv: what a source says against what the package computes.

Expected values are independent of this code. A row names its source and how strong it is: read in
the source, in a page that quotes it, from memory, common practice, or computed independently.
"""

import csv
import json
from functools import reduce
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

from heritagemove.units import Quantity

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


def test_the_differences_from_the_sources_are_printed(capsys):
    rows: dict[str, list[float]] = {}
    for case in cases():
        if case["tolerance"] != "":
            rows.setdefault(case["check"], []).append(abs(float(computed(case)) - float(case["expected"])))
    table = reduce(
        lambda text, item: text + f"{item[0]:<55}{len(item[1]):>6}{max(item[1]):>14.4g}\n",
        sorted(rows.items()),
        f"\n{'check':<55}{'cases':>6}{'largest diff':>14}\n",
    )
    with capsys.disabled():
        print(table)
    assert len(rows) > 5
