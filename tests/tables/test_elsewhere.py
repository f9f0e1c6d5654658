"""The second demo museum: another country, prices in euro, measures in SI units."""

import re
from pathlib import Path

import pytest

from heritagemove.answers.what_if import what_if
from heritagemove.compare.comparison import compare_paths
from heritagemove.editing.writing import Typed, typed, write_museum
from heritagemove.files.tables import heading_of
from heritagemove.hand_over.page import render
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.panels.engineering import engineering
from heritagemove.panels.explorer import explore
from heritagemove.panels.screens import show_vehicle
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import draw
from heritagemove.units import units
from heritagemove.units.measures import show_measure

DATA = Path(__file__).resolve().parents[2] / "data"
#: Units of the other system: a number with one of them is shown to nobody here.
_NAMES = "lb|ft|in|short tons?|miles?|mph|lbf|psf|lb/ft²|ft²"
CUSTOMARY = re.compile(rf"\d(?:[\d,]*\d)?(?:\.\d+)? (?:{_NAMES})(?![\w/])(?! all| time| 100)")


@pytest.fixture(scope="module")
def abroad():
    return load_museum(DATA / "elsewhere" / "melderbach")


@pytest.fixture(scope="module")
def comparison(abroad):
    return compare_paths(abroad, "tank_engine", {}, draw(abroad, trials=500))


@pytest.fixture(scope="module")
def page(comparison):
    markup = re.sub(r"<style.*?</style>", "", render(comparison), flags=re.DOTALL)
    return re.sub(r'src="data:[^"]*"', "", markup)


def test_it_is_read_with_its_own_limits_and_a_path_is_chosen(abroad, comparison):
    assert abroad.limit_quantity("crane_clearance").m_as("m") == pytest.approx(1)
    assert len(abroad.limits) < 80
    assert comparison.choice and comparison.fallback
    assert {path.status for path in comparison.paths} == {"caution", "blocked", "clear"}


def test_the_page_counts_in_euro_alone(page):
    assert "USD" not in page and "$" not in page
    assert len(re.findall(r"[\d,]+ EUR", page)) > 20
    assert "85,000 EUR" in page


def test_the_page_measures_in_si_units_alone(page):
    text = re.sub(r"<[^>]+>", " ", page)
    assert "41.5 t ± 4 %" in text and "8.90 m" in text
    # The sources of formulas and a journal's size in inches are names, not measures of this unit.
    text = re.sub(r"\([^()]*(?:CFR|TR0603|D =)[^()]*\)|\(R = W.*?\)\)", " ", text)
    assert [match.group() for match in CUSTOMARY.finditer(text)] == []


def test_the_command_line_and_the_panels_say_euro(abroad, comparison):
    assert list(comparison.to_frame().columns)[3:5] == ["cost P50 [EUR]", "cost P80 [EUR]"]
    assert " EUR, enough in 80% of cases" in comparison.sentence
    state = Desk(abroad, "tank_engine", samples=comparison.samples)
    shown = show_vehicle(state)
    assert "41.5 t" in shown and "85,000" in shown and "USD" not in shown
    waiting, said = [explore(state)], []
    while waiting:
        part = waiting.pop()
        said += [str(getattr(part, name, "")) for name in ("value", "description", "tooltip")]
        waiting += getattr(part, "children", ())
    text = re.sub(r'src="data:[^"]*"', "", " ".join(said))
    assert "EUR" in text and "USD" not in text


def test_one_more_is_asked_in_the_units_of_the_museum(comparison):
    moved = what_if(comparison, "trailer", "haul_distance")
    assert moved.in_words().startswith("10 km more: +")
    assert "EUR at P80" in moved.in_words()
    # at 9 to 21 EUR a kilometre, a fifth of tax, and what an estimate without a quote is off by at P80: exp(0.54 x 0.84)
    assert 90 < moved.cost_usd < 210 * 1.2 * 1.58


def test_a_slider_in_kilometres_and_a_limit_in_metres_mean_what_they_say(abroad, comparison):
    assert abroad.scenario.sliders["haul_distance"].unit == "km"
    lift = next(f for f in comparison.path("trailer").findings if f.gate.gate == "crane")
    # The 250 t crane's chart at 8 m, times the museum's share of it for one crane.
    assert lift.check.capacity.m_as("metric_ton") == pytest.approx(86 * 0.8)
    ground = next(f for f in comparison.path("trailer").findings if f.gate.gate == "outrigger_ground")
    assert (ground.check.capacity * units.REGISTRY.standard_gravity).m_as("kPa") == pytest.approx(200)


#: Ways to write the same measure: SI -> US customary.
CUSTOMARY_UNITS = {"lb": "lb", "ft": "ft", "in": "in", "mi": "mile", "mph": "mph", "short_ton": "short_ton"}


def test_the_same_museum_in_pounds_and_feet_gives_the_same_answer(abroad, comparison, tmp_path):
    written = typed(DATA / "elsewhere" / "melderbach")
    tables, retyped = {}, 0
    for file in MUSEUM_TABLES:
        lines = [list(line) for line in written.tables[file]]
        heading = heading_of(written.tables[file])
        for row in getattr(abroad, file.removesuffix(".csv")):
            for column, value in row:
                unit = CUSTOMARY_UNITS.get(f"{value.units:~}") if isinstance(value, units.Quantity) else None
                if unit:
                    lines[row.row_number - 1][heading.index(column)] = f"{value.magnitude:.9f} {unit}"
                    retyped += 1
        tables[file] = lines
    place = write_museum(Typed(written.scenario, tables), tmp_path / "melderbach")
    again = load_museum(place, DATA / "elsewhere" / "reference")
    other = compare_paths(again, "tank_engine", {}, comparison.samples).as_json()
    assert retyped > 80
    for path, same in zip(comparison.as_json()["paths"], other["paths"], strict=True):
        assert same["cost_usd"] == (path["cost_usd"] and pytest.approx(path["cost_usd"], rel=1e-6))
        assert (same["status"], same["off_site"], same["reasons"]) == (path["status"], path["off_site"], path["reasons"])


def test_the_engineering_sheets_measure_in_si_units_alone(abroad):
    screen, said = engineering(Desk(abroad, "tank_engine"), "trailer"), []
    for part in (*screen.children, *screen.children[1].children):
        said += [str(getattr(part, name, "")) for name in ("value", "description", "tooltip")]
    assert screen.box.description == "Weight [kg]" and screen.weight.value == 41500
    screen.weight.value = 43000
    text = " ".join([*said, screen.bars.value, screen.weights.value, screen.says.value])
    text = re.sub(r'src="data:[^"]*"|<style.*?</style>|<details.*?</details>', "", text, flags=re.DOTALL)
    for shown in ("8 axles, the heaviest 11.2 t; below them", "150 mm under it", "At 43.0 t"):
        assert shown in text
    assert [match.group() for match in CUSTOMARY.finditer(text)] == []


@pytest.mark.parametrize(("quantity", "us", "si"), [
    (units.Quantity(2000, "lb"), "2,000 lb", "907 kg"), (units.Quantity(45000, "lb"), "45,000 lb", "20.4 t"),
    (units.Quantity(10, "mile"), "10.0 miles", "16.1 km"), (units.Quantity(6, "in"), "6 in", "152 mm"),
    (units.Quantity(-30, "in"), "-2 ft 6 in", "-762 mm"), (units.Quantity(25, "mph"), "25.0 mph", "40 km/h"),
    (units.Quantity(1000, "lbf"), "1,000 lbf", "4.4 kN"), (units.Quantity(2000, "lb/ft**2"), "2,000 lb/ft²", "96 kPa"),
    (units.Quantity(172, "ft**2"), "172 ft²", "16.0 m²"), (units.Quantity(0.5, ""), "0.5", "0.5"),
])  # fmt: skip
def test_a_measure_is_shown_in_either_system(quantity, us, si):
    assert (show_measure(quantity, "US"), show_measure(quantity, "SI")) == (us, si)


def test_money_keeps_the_currency_it_is_written_in():
    assert str(units.parse("5 EUR", "money").units) == "EUR"
    for text, wanted in (("5 EUR", "USD"), ("$5", "EUR"), ("5 GBP/axle", "EUR/axle")):
        with pytest.raises(ValueError):
            units.parse(text, wanted)
