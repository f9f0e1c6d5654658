"""Laws of prices: a heavier load is never cheaper, a gift moves nothing but the museum's money, prices rise alike."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.memo import Memo
from heritagemove.museum.rows import TABLES
from heritagemove.trials.prices import price_of, years_of
from heritagemove.trials.simulation import draw, simulate
from heritagemove.units.units import Quantity

few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def compared(museum, samples):
    return compare_paths(museum, "caboose", None, samples, Memo())


def years(museum, trials):
    return Memo()(years_of, trials.made.dates, trials.made.closed, museum.scenario.start)


@pytest.mark.parametrize("line", ["body_haul", "trucks_by_lowboy"])
@few
@given(tons=st.floats(1, 250), more=st.floats(0, 100))
def test_a_heavier_load_is_never_cheaper_in_any_trial(museum, samples, compared, line, tons, more):
    row = next(row for row in museum.of_path("cost_lines", "trailer") if row.line == line)
    trials = compared.path("trailer").trials

    def at(weight):
        given = dict.fromkeys(("body_weight", "truck_load_weight"), weight)
        return price_of(museum, row, frozenset(), given, samples, years(museum, trials), Memo())[0].value

    assert (at(tons + more) >= at(tons) * (1 - 1e-12)).all()


@few
@given(
    share=st.floats(0, 1),
    path=st.sampled_from(["own_wheels", "flat_car", "trailer", "roll_on"]),
    line=st.integers(0, 100),
)
def test_a_gift_lowers_only_the_museum_s_money(museum, samples, compared, share, path, line):
    lines = museum.of_path("cost_lines", path)
    row = TABLES["donations"].model_validate(
        {
            "vehicle": "any",
            "path": path,
            "line": lines[line % len(lines)].line,
            "share": share,
            "given_by": "a friend",
            "basis": "judgment",
            "source": "x",
        }
    )
    work = compared.path(path).work
    none = simulate(museum.with_changes(donations=()), path, work, samples)
    some = simulate(museum.with_changes(donations=(row,)), path, work, samples)
    np.testing.assert_allclose(some.cost_usd + some.donated_usd, none.cost_usd, rtol=1e-12)
    assert (np.asarray(some.donated_usd) >= 0).all()
    np.testing.assert_array_equal(some.off_site, none.off_site)
    np.testing.assert_array_equal(some.closed, none.closed)


@few
@given(growth=st.floats(-0.1, 0.3))
def test_prices_that_rise_alike_raise_each_line_alike(museum, samples, compared, growth):
    """An index that rises by a share a year from the price level on: every line that follows it rises by that share."""
    levels = [
        TABLES["price_indexes"].model_validate(
            {
                "price_index": "level",
                "year": year,
                "value": 100 * (1 + growth) ** (year - 2026),
                "basis": "judgment",
                "source": "x",
            }
        )
        for year in range(2026, 2040)
    ]
    indexed = [row.model_copy(update={"price_index": row.price_index and "level"}) for row in museum.rates]
    risen = museum.with_changes(rates=indexed, price_indexes=levels)
    level = museum.with_changes(rates=[row.model_copy(update={"price_index": None}) for row in museum.rates])
    costs = [simulate(each, "roll_on", compared.path("roll_on").work, samples).lines for each in (level, risen)]
    for plain, more in zip(*costs, strict=True):
        follows = all(row.price_index for row in museum.rates_of(plain.line.rate))
        np.testing.assert_allclose(more.cost_usd, plain.cost_usd * (1 + growth * follows))  # all ends in 2027


@few
@given(knots=st.lists(st.floats(1_000, 400_000), min_size=2, max_size=5, unique=True), power=st.floats(0, 2))
def test_a_price_that_is_a_power_of_the_weight_is_found_again_everywhere(museum, compared, knots, power):
    row = next(row for row in museum.rates if row.rate == "body_haul")
    line = next(row for row in museum.of_path("cost_lines", "trailer") if row.line == "body_haul")
    made = []
    for pounds in knots:
        usd = (pounds / 1_000) ** power
        made.append(row.model_copy(update={"at_weight": Quantity(pounds, "lb"), "low": usd, "likely": usd, "high": usd}))
    priced = museum.with_changes(rates=[*(each for each in museum.rates if each.rate != "body_haul"), *made])
    samples = draw(priced, trials=3)
    for share in (0.0, 0.3, 1.0):
        pounds = min(knots) + share * (max(knots) - min(knots))
        found = price_of(
            priced,
            line,
            frozenset(),
            {"body_weight": pounds / 2000},
            samples,
            years(priced, compared.path("trailer").trials),
            Memo(),
        )
        np.testing.assert_allclose(found[0].value, (pounds / 1_000) ** power, rtol=1e-6)
