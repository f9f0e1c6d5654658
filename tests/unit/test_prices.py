"""Prices over weight, minimum hire, tax, escalation, gifts and insurance, against sums by hand."""

import datetime as dt

import numpy as np
import pytest
from changed_rows import change

from heritagemove.compare.comparison import compare_paths
from heritagemove.files.tables import read_lines
from heritagemove.following.commitments import positions, with_positions
from heritagemove.museum.rows import TABLES
from heritagemove.museum.rules import cross_table_problems
from heritagemove.trials.estimating import switched
from heritagemove.trials.simulation import draw
from heritagemove.units.units import Quantity

PLAIN = {"at_weight": None, "price_index": None, "least": None, "least_for": None, "tax": None, "range": "bounds"}


@pytest.fixture(scope="module")
def museum(museum):
    """The demo without its estimating error: sums by hand know none."""
    return switched(museum, False)


def rows(table, *lines):
    """Return rows of a table as a planner types them, the heading first."""
    found, problems = read_lines(table, [line.split(",") for line in lines], TABLES[table])
    assert not problems, problems
    return found


def priced(museum, rate, *prices, **cells):
    """Return a museum in which a rate has these certain prices: (weight or None, USD)."""
    row = next(row for row in museum.rates if row.rate == rate)
    made = [
        row.model_copy(
            update=PLAIN
            | {"low": usd, "likely": usd, "high": usd, "at_weight": None if weight is None else Quantity(weight, "lb")}
            | {"equipment": None}
            | cells
        )
        for weight, usd in prices
    ]
    return museum.with_changes(rates=[*(row for row in museum.rates if row.rate != rate), *made])


def weighing_exactly(museum):
    return museum.with_changes(
        vehicles=[row.model_copy(update={"weight_tolerance": Quantity(0.0, "percent")}) for row in museum.vehicles]
    )


def line_of(museum, line, vehicle="consolidation", path="trailer", settings=None):
    compared = compare_paths(museum, vehicle, settings, draw(museum, trials=50))
    return next(entry for entry in compared.path(path).trials.lines if entry.line.line == line), compared.path(path)


@pytest.mark.parametrize(
    ("light", "heavy", "expected"),
    [
        ((42_000, 10), (672_000, 40), 20),  # 168,000 lb lies in the middle of both when scales are logarithmic
        ((100_000, 10), (168_000, 16), 16),
        ((10_000, 3), (50_000, 6), 6),  # beyond the ends it stays
        ((200_000, 30), (300_000, 60), 30),
    ],
)
def test_a_price_runs_on_between_two_weights(museum, light, heavy, expected):
    found = priced(weighing_exactly(museum), "body_haul", heavy, light)
    entry, result = line_of(found, "body_haul")
    units = result.work.amounts["haul_distance"] * result.work.amounts["body_loads"]
    np.testing.assert_allclose(entry.cost_usd, expected * units)


def test_each_load_is_priced_at_the_weight_its_line_names(museum):
    """The tender weighs 62,000 lb and goes as one load."""
    found = priced(weighing_exactly(museum), "lowboy_mile", (15_500, 2), (62_000, 8))
    found = change(found, "cost_lines", {"path": "trailer", "line": "trucks_by_lowboy"}, load_weight="truck_load_weight")
    entry, _ = line_of(found, "trucks_by_lowboy")
    np.testing.assert_allclose(entry.cost_usd, 8 * np.asarray(entry.quantity))


def test_what_the_true_weight_is_the_price_follows(museum):
    found = priced(museum, "body_haul", (100_000, 10), (168_000, 16.8), (400_000, 40))
    found = change(found, "vehicles", {"vehicle": "consolidation"}, weight_tolerance=Quantity(5.0, "percent"))
    entry, result = line_of(found, "body_haul")
    per_mile = entry.cost_usd / np.asarray(entry.quantity)
    pounds = result.work.amounts["body_weight"] * 2000
    assert np.ptp(pounds) > 10_000
    np.testing.assert_allclose(per_mile, pounds / 10_000)


def test_rows_of_one_rate_lie_at_one_place_of_their_ranges(museum):
    found = priced(museum, "body_haul", (40_000, 1), (80_000, 1))
    wide = [
        row.model_copy(update={"low": low, "likely": 2 * low, "high": 4 * low})
        for row, low in zip([row for row in found.rates if row.rate == "body_haul"], (3.0, 9.0), strict=True)
    ]
    samples = draw(found.with_changes(rates=[*(r for r in found.rates if r.rate != "body_haul"), *wide]), trials=100)
    light, heavy = (samples.rates[row.name] for row in wide)
    np.testing.assert_allclose(heavy, 3 * light)


def test_an_unknown_weight_has_no_price_where_the_price_hangs_on_it(museum):
    found = priced(museum, "body_haul", (40_000, 1), (80_000, 2))
    found = change(found, "pieces", {"vehicle": "consolidation", "piece": "engine"}, weight=None).with_changes(typical=())
    compared = compare_paths(found, "consolidation", None, draw(found, trials=20))
    assert "body_weight" in compared.path("trailer").trials.unknown


def test_a_minimum_hire_is_charged_for_each_crane_call(museum):
    found = priced(museum, "crane_hour", (None, 100), least=8.0, least_for="crane_calls")
    entry, result = line_of(found, "crane_hours", settings={"crane_hours": 3})
    calls = result.work.amounts["crane_calls"]
    np.testing.assert_allclose(entry.quantity, 8 * calls)
    np.testing.assert_allclose(entry.cost_usd, 800 * np.asarray(calls))
    more, _ = line_of(found, "crane_hours", settings={"crane_hours": 100})
    np.testing.assert_allclose(more.cost_usd, 10_000)
    none, _ = line_of(found, "crane_hours", settings={"crane_hours": 0})
    assert not np.any(none.cost_usd)


def test_a_tax_comes_on_top_and_blank_is_exempt(museum):
    taxes = rows("taxes", "tax,title,share,exempt,basis,source", "sales,Sales tax,6 %,,judgment,invented")
    plain = priced(museum, "pilot_car", (None, 100))
    taxed = priced(museum.with_changes(taxes=(*museum.taxes, *taxes)), "pilot_car", (None, 100), tax="sales")
    np.testing.assert_allclose(line_of(taxed, "pilot_cars")[0].cost_usd, 1.06 * line_of(plain, "pilot_cars")[0].cost_usd)


def test_the_buyer_s_tax_on_a_credit_is_not_the_museum_s(museum):
    taxes = rows("taxes", "tax,title,share,exempt,basis,source", "sales,Sales tax,6 %,,judgment,invented")
    credit = next(row for row in museum.cost_lines if row.factor < 0)
    found = priced(museum.with_changes(taxes=(*museum.taxes, *taxes)), credit.rate, (None, 100), tax="sales")
    plain = priced(museum, credit.rate, (None, 100))
    costs = [line_of(each, credit.line, path=credit.path)[0].cost_usd for each in (found, plain)]
    np.testing.assert_array_equal(*costs)


INDEX = ("price_index,year,value,basis,source", "level,2020,100,judgment,x", "level,2024,110,judgment,x",
         "level,2027,121,judgment,x", "level,2028,132,judgment,x")  # fmt: skip


def test_a_price_rises_from_its_year_to_the_year_in_which_its_task_ends(museum):
    found = museum.with_changes(price_indexes=(*museum.price_indexes, *rows("price_indexes", *INDEX)))
    plain = line_of(priced(found, "pilot_car", (None, 100)), "pilot_cars")[0].cost_usd
    for year, rise in ((2024, 1.1), (2020, 1.21), (2022, 121 / 11_000**0.5), (2027, 1.0)):
        risen = priced(found, "pilot_car", (None, 100), price_year=year, price_index="level")
        np.testing.assert_allclose(line_of(risen, "pilot_cars")[0].cost_usd, rise * plain)


def test_each_trial_pays_the_level_of_its_own_year(museum):
    found = museum.with_changes(price_indexes=(*museum.price_indexes, *rows("price_indexes", *INDEX)))
    found = found.with_changes(start=dt.date(2027, 9, 20), deadline=dt.date(2028, 6, 1), forced_scrap=dt.date(2028, 12, 1))
    plain, _ = line_of(priced(found, "pilot_car", (None, 100)), "pilot_cars")
    entry, result = line_of(priced(found, "pilot_car", (None, 100), price_year=2027, price_index="level"), "pilot_cars")
    last = result.trials.dates.finish[entry.line.task] - 1
    in_2028 = last >= (dt.date(2028, 1, 1) - found.scenario.start).days
    assert in_2028.any() and not in_2028.all()
    np.testing.assert_allclose(entry.cost_usd / plain.cost_usd, np.where(in_2028, 132 / 121, 1.0))


def test_a_quote_does_not_rise(museum):
    found = museum.with_changes(price_indexes=(*museum.price_indexes, *rows("price_indexes", *INDEX)))
    plain = line_of(priced(found, "pilot_car", (None, 100)), "pilot_cars")[0].cost_usd
    quoted = priced(found, "pilot_car", (None, 100), price_year=2020, price_index="level", basis="quote")
    np.testing.assert_array_equal(line_of(quoted, "pilot_cars")[0].cost_usd, plain)


def test_standby_is_charged_for_the_days_beyond_the_likely_ones(museum):
    line = next(row for row in museum.of_path("cost_lines", "trailer") if row.line == "pilot_cars")
    standby = line.model_copy(update={"line": "standby", "driver": "days_over", "at_least": None})
    found = priced(museum.with_changes(cost_lines=[*museum.cost_lines, standby]), "pilot_car", (None, 100))
    compared = compare_paths(found, "consolidation", None, draw(found, trials=400))
    result = compared.path("trailer")
    lines = {entry.line.line: entry for entry in result.trials.lines}
    task = next(row for row in found.of_path("tasks", "trailer") if row.task == line.task)
    days = np.asarray(lines["pilot_cars"].quantity) / result.work.amounts["pilot_cars"]
    likely = np.rint(task.likely + sum(each * result.work.amounts[name] for name, each in task.added_days))
    expected = np.maximum(days - likely, 0) * result.work.amounts["pilot_cars"] * 100
    assert expected.any() and not expected.all()
    np.testing.assert_allclose(lines["standby"].cost_usd, expected)


def given(museum, *lines):
    heading = "vehicle,path,line,share,given_by,basis,source"
    return museum.with_changes(donations=rows("donations", heading, *(f"{line},a friend,judgment,x" for line in lines)))


def test_a_gift_lowers_the_museum_s_money_and_nothing_else(museum):
    samples = draw(museum, trials=100)
    before = compare_paths(museum, "consolidation", None, samples)
    after = compare_paths(given(museum, "consolidation,trailer,crane_calls,0.4"), "consolidation", None, samples)
    for old, new in zip(before.paths, after.paths, strict=True):
        assert (old.status, old.off_site, old.chance_of_gates) == (new.status, new.off_site, new.chance_of_gates)
        if old.trials.cost_usd is not None:
            np.testing.assert_allclose(new.trials.cost_usd + new.trials.donated_usd, old.trials.cost_usd)
            assert np.any(new.trials.donated_usd) == (new.path == "trailer")
    calls = next(entry for entry in before.path("trailer").trials.lines if entry.line.line == "crane_calls")
    np.testing.assert_allclose(after.path("trailer").trials.donated_usd, 0.4 * calls.cost_usd)


def test_what_is_given_of_a_unit_comes_before_what_is_given_of_any(museum):
    found = given(museum, "any,trailer,crane_calls,0.4", "caboose,trailer,crane_calls,1")
    for vehicle, share in (("caboose", 1.0), ("coach", 0.4)):
        entry, _ = line_of(found, "crane_calls", vehicle)
        np.testing.assert_allclose(entry.donated_usd, share * (entry.cost_usd + entry.donated_usd))


def test_an_insured_loss_costs_at_most_the_deductible(museum):
    row = next(row for row in museum.of_path("risks", "trailer") if row.cost_high > 0)
    changed = change(museum, "risks", {"path": "trailer", "risk": row.risk}, probability=1.0, bought=False,
                     deductible=row.cost_likely)  # fmt: skip
    cost = draw(changed, trials=200).risks["trailer", row.risk].cost_usd
    assert cost.max() == row.cost_likely and cost.min() < row.cost_likely


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"unit": "USD/km/load"}, "unit"),
        ({"price_year": 2020}, "price_year"),
        ({"at_weight": None}, "at_weight"),
        ({"least_for": "crane_calls"}, "least_for"),
    ],
)
def test_rows_of_one_rate_go_together(museum, cells, column):
    found = priced(museum, "body_haul", (40_000, 1), (80_000, 2))
    last = found.rates[-1].model_copy(update=cells)
    problems = cross_table_problems(found.with_changes(rates=[*found.rates[:-1], last]))
    assert column in {problem.column for problem in problems if problem.file == "rates.csv"}


def test_an_index_reaches_from_the_price_to_the_last_move(museum):
    found = museum.with_changes(price_indexes=(*museum.price_indexes, *rows("price_indexes", *INDEX)))
    found = priced(found, "pilot_car", (None, 1), price_year=2019, price_index="level")
    assert [p.column for p in cross_table_problems(found)] == ["price_index"]


def test_the_owner_s_charge_is_a_term_of_an_agreement(museum):
    found = change(museum, "rates", {"rate": "holdover"}, least=3.0)
    assert [(p.column, p.found) for p in cross_table_problems(found)] == [("least", "3")]


def test_a_gift_is_off_a_quote_already(museum):
    """A quote of 71,000 USD for calls and hours is what the museum is asked for: 40 per cent given changes no cent of it."""
    samples, on = draw(museum, trials=100), dt.date(2027, 4, 1)
    found = given(museum, "consolidation,trailer,crane_calls,0.4", "consolidation,trailer,rigging_crew,0.5")
    plan = compare_paths(found, "consolidation", None, samples).path("trailer")
    stands = positions(found, "consolidation", plan, on)
    assert {"crane_calls", "crane_hours"} <= {each.line.line for each in stands if each.stands_on == "firm"}
    now = with_positions(found, stands)
    lines = compare_paths(now, "consolidation", None, draw(now, trials=100)).path("trailer").trials.lines
    cost = {entry.line.line: entry for entry in lines}
    np.testing.assert_allclose(cost["crane_calls"].cost_usd + cost["crane_hours"].cost_usd, 71_000)
    assert not np.any(cost["crane_calls"].donated_usd) and np.all(cost["rigging_crew"].donated_usd > 0)
