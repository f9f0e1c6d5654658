"""The demo typed in metric units, cell by cell: the same museum and the same answer."""

from pathlib import Path

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.writing import Typed, typed, write_museum
from heritagemove.files.tables import heading_of
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.trials.simulation import draw
from heritagemove.units import units

DATA = Path(__file__).resolve().parents[2] / "data"
METRIC = {"lb": "kg", "ft": "m", "in": "mm", "mi": "km", "mph": "km/h", "short_ton": "tonne"}


@pytest.fixture(scope="module")
def metric(museum, tmp_path_factory):
    """The demo with every length, weight, distance and speed retyped, read from its own files."""
    demo = typed(DATA / "tamber_river")
    tables, retyped = {}, 0
    for file in MUSEUM_TABLES:
        heading, lines = heading_of(demo.tables[file]), [list(line) for line in demo.tables[file]]
        for row in getattr(museum, file.removesuffix(".csv")):
            for column, value in row:
                unit = METRIC.get(str(value.units)) if isinstance(value, units.Quantity) else None
                if unit:
                    number = value.m_as("km/hour" if unit == "km/h" else unit)
                    lines[row.row_number - 1][heading.index(column)] = f"{number:.9f} {unit}"
                    retyped += 1
        tables[file] = lines
    place = write_museum(Typed(demo.scenario, tables), tmp_path_factory.mktemp("metric") / "tamber_river")
    return load_museum(place, DATA / "reference"), retyped


def test_every_measure_is_read_with_the_value_it_has_in_feet_and_pounds(museum, metric):
    read, retyped = metric
    assert retyped > 300
    for file in MUSEUM_TABLES:
        table = file.removesuffix(".csv")
        for one, other in zip(getattr(museum, table), getattr(read, table), strict=True):
            for (name, value), (_, same) in zip(one, other, strict=True):
                if isinstance(value, units.Quantity):
                    assert same.m_as(value.units) == pytest.approx(value.magnitude, rel=1e-8, abs=1e-8), (file, name)
                else:
                    assert same == value, (file, name)


def test_the_answer_is_the_same(museum, metric):
    read, _ = metric
    draws = draw(museum, trials=100)
    one, other = (compare_paths(each, "caboose", {}, draws).as_json() for each in (museum, read))
    for path, same in zip(one["paths"], other["paths"], strict=True):
        assert same["cost_usd"] == (path["cost_usd"] and pytest.approx(path["cost_usd"], rel=1e-6))
        assert (same["status"], same["off_site"], same["reasons"]) == (path["status"], path["off_site"], path["reasons"])
    assert (other["choice"], other["fallback"]) == (one["choice"], one["fallback"])
