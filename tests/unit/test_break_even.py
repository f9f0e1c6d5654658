"""Break-evens: curves that equal a comparison at each distance, and ranges that are told in words."""

import numpy as np
import pytest

from heritagemove.answers.break_even import Curve, break_even, break_evens, curves, stops
from heritagemove.charts.break_even import break_even_curves
from heritagemove.checks.gates.screening import screen
from heritagemove.compare.comparison import compare_paths, price_path
from heritagemove.museum.memo import Memo
from heritagemove.panels.break_even import show_break_even
from heritagemove.trials import simulation
from heritagemove.trials.estimating import switched
from heritagemove.units.units import PlannerError
from tests.desks import desk_of


@pytest.fixture(scope="module")
def museum(museum):
    """The demo with a slider of 20 miles a step: a sixth of the points."""
    slider = museum.scenario.sliders["haul_distance"].model_copy(update={"low": 20, "step": 20})
    return museum.with_changes(sliders=museum.scenario.sliders | {"haul_distance": slider})


@pytest.fixture(scope="module")
def samples(museum):
    return simulation.draw(museum, trials=400)


@pytest.fixture(scope="module")
def switcher(museum, samples):
    return compare_paths(museum, "foundry_switcher", None, samples)


@pytest.fixture(scope="module")
def over_distance(switcher):
    return curves(switcher)


@pytest.mark.parametrize("vehicle", ["coach", "foundry_switcher"])
def test_at_another_distance_every_note_and_reason_is_what_is_said_there(museum, vehicle):
    """Both units have a weight tolerance; the coach's hot box was told for 100 miles at any distance."""
    memo, samples = Memo(), simulation.draw(museum, trials=20)
    compare_paths(museum, vehicle, None, samples, memo)
    moved = compare_paths(museum, vehicle, {"haul_distance": 150}, samples, memo)
    there = museum.with_haul_distance(150)
    assert sum(leg.length.m_as("mile") for leg in there.route("rail")) == pytest.approx(100.5 - 61 + 61 * (150 - 29.7) / 48)
    for path in moved.paths:
        expected = screen(there, vehicle, path.path)
        notes = [reason for reason in path.reasons if reason.startswith("Hot box")]
        assert notes == [note for note in expected.notes if note.startswith("Hot box")]
        assert all("in 192 miles" in note for note in notes)
        told = {finding.gate.gate: finding.reason for finding in expected.findings}
        assert [finding.reason for finding in path.findings] == [told[finding.gate.gate] for finding in path.findings]


def _curve(costs, number=1, statuses=None, chance=1.0):
    amounts = np.arange(len(costs)) * 10.0 + 10
    costs = np.array(costs, float)
    statuses = statuses or ("clear",) * len(costs)
    reasons = tuple("too long" if status == "blocked" else "" for status in statuses)
    full = np.full(len(costs), chance)
    return Curve(f"path_{number}", number, f"Path {number}", True, amounts, costs, costs * 0.0, full, statuses, reasons)


def _agree(museum, samples, found, distance):
    n = int(np.flatnonzero(found.amounts == distance)[0])
    settings = {**found.comparison.settings, "haul_distance": distance}
    checked = 0
    for curve in found.paths:
        answer = price_path(museum, found.comparison.vehicle, curve.path, settings, samples)
        assert curve.statuses[n] == answer.status, curve.path
        if np.isnan(curve.cost_usd[n]):
            assert answer.status == "blocked" or answer.cost is None
            continue
        assert curve.cost_usd[n] == pytest.approx(np.percentile(answer.trials.cost_usd, 80), rel=1e-9), curve.path
        if answer.chance_by_deadline is not None:
            assert curve.chance[n] == answer.chance_by_deadline, curve.path
        checked += 1
    return checked


@pytest.mark.parametrize("distance", [40.0, 200.0, 520.0])
def test_a_curve_is_what_a_fresh_comparison_answers_at_that_distance(museum, samples, over_distance, distance):
    assert _agree(museum, samples, over_distance, distance) >= 6


def test_the_curves_of_a_unit_whose_weight_matters_are_what_a_fresh_comparison_answers_too(museum, samples):
    found = curves(compare_paths(museum, "consolidation", None, samples), amounts=[40, 150, 155, 330, 600])
    assert len(found.comparison.weighed["trailer"].bands) > 2
    assert _agree(museum, samples, found, 155.0) >= 3


def test_a_weight_that_is_set_stays_set_over_the_distance(museum, samples):
    comparison = compare_paths(museum, "boxcar", {"weight": 30}, samples)
    found = curves(comparison, amounts=[50, 300])
    assert _agree(museum, samples, found, 300.0) >= 5


def test_a_haul_that_takes_longer_with_each_mile_is_late_from_some_distance_on(museum, samples):
    slower = {"per": ("road_days",), "extra_days": (20.0,), "milestone": ("off_site",)}  # off the site with its last load
    haul = next(row for row in museum.tasks if (row.path, row.task) == ("trailer", "haul"))
    tasks = [row.model_copy(update=slower) if row is haul else row for row in museum.tasks]
    slow = museum.with_changes(tasks=tasks)
    comparison = compare_paths(slow, "foundry_switcher", None, simulation.draw(slow, previous=samples))
    found = curves(comparison, amounts=[40, 450, 900, 1200])
    trailer = found.path("trailer")
    assert (np.diff(trailer.chance) <= 0).all() and trailer.chance[0] > 0.8 > trailer.chance[-1]
    late = next(stop for stop in stops(found) if stop.curve is trailer)
    assert late.kind == "late" and not late.everywhere and "miles on" in late.in_words("miles")
    assert _agree(slow, comparison.samples, found, 900.0) >= 5


def test_costs_over_distance_never_fall(over_distance):
    for curve in over_distance.usable():
        assert (np.diff(curve.cost_usd) >= -1e-6).all(), curve.path


def test_the_roads_costs_rise_and_the_minimum_by_rail_holds_for_long(museum):
    dearer = [
        row.model_copy(update={part: 3 * getattr(row, part) for part in ("low", "likely", "high")})
        if row.rate == "body_haul"
        else row
        for row in museum.rates
    ]
    priced = switched(museum.with_changes(rates=dearer), False)
    over_distance = curves(compare_paths(priced, "foundry_switcher", None, simulation.draw(priced, trials=400)))
    trailer, flat_car = over_distance.path("trailer"), over_distance.path("flat_car")
    (lowboys,) = [row for row in museum.of_path("cost_lines", "flat_car") if row.line == "trucks_by_lowboy"]
    assert "at least 200 miles a load" in lowboys.title
    at_least = int(np.flatnonzero(flat_car.amounts == 200.0)[0])
    assert flat_car.cost_usd[at_least] < 1.05 * flat_car.cost_usd[0], "up to there its trucks, too, cost the minimum"
    assert trailer.cost_usd[at_least] > 1.05 * trailer.cost_usd[0] and trailer.cost_usd[-1] > 1.2 * trailer.cost_usd[0]
    assert trailer.cost_usd[-1] / trailer.cost_usd[0] > flat_car.cost_usd[-1] / flat_car.cost_usd[0]
    pair = break_even(trailer, flat_car)
    assert pair.before is trailer and pair.after is flat_car
    n = int(np.flatnonzero(trailer.amounts == pair.first)[0])
    assert trailer.cost_usd[n] > flat_car.cost_usd[n] and trailer.cost_usd[n - 1] < flat_car.cost_usd[n - 1]


def test_a_path_that_something_else_blocks_has_a_status_and_no_cost(over_distance):
    donor = over_distance.path("donor_trucks")
    assert donor.blocked.all() and np.isnan(donor.cost_usd).all()
    assert donor not in over_distance.usable()
    entry = next(stop for stop in stops(over_distance) if stop.curve is donor)
    assert entry.everywhere and "at every amount from 40 to 1,000 miles" in entry.in_words("miles")


def test_stairs_that_cross_three_times_give_a_range():
    pair = break_even(_curve([10, 10, 20, 20, 30]), _curve([15, 15, 15, 25, 25], 2))
    assert (pair.first, pair.last) == (30.0, 50.0) and len(pair.flips) == 3
    assert pair.in_words() == (
        "Path 1 is cheaper than path 2 up to 20 miles; between 30 and 50 miles the order changes 3 times, and from "
        "there on path 2 is cheaper."
    )


def test_one_crossing_names_the_last_amount_before_and_the_first_after():
    pair = break_even(_curve([10, 20, 30]), _curve([25, 25, 25], 2))
    assert pair.in_words() == "Path 1 is cheaper than path 2 up to 20 miles, path 2 from 30 on."
    assert pair.range == (20.0, 30.0)


def test_paths_that_never_cross_and_paths_that_cost_the_same_say_so():
    never = break_even(_curve([30, 30]), _curve([20, 20], 2))
    assert never.first is None and never.before.number == 2
    assert never.in_words() == "Path 2 is cheaper than path 1 at every amount from 10 to 20 miles; there is no break-even."
    same = break_even(_curve([30, 30]), _curve([30, 30], 2))
    assert same.before is None and same.in_words() == "Paths 1 and 2 cost the same from 10 to 20 miles."


def test_a_touch_without_a_crossing_and_an_unknown_cost_are_no_flip():
    assert break_even(_curve([10, 20, 10]), _curve([20, 20, 20], 2)).flips == ()
    assert break_even(_curve([10, np.nan, 10]), _curve([20, 20, 20], 2)).flips == ()


def test_differences_below_the_error_of_the_trials_are_too_close_to_call():
    one, other = _curve([10, 20, 30]), _curve([25, 21, 25], 2)
    wide = [Curve(**{**vars(curve), "half_width_usd": np.full(3, 3.0)}) for curve in (one, other)]
    pair = break_even(*wide)
    assert pair.close == (20.0, 20.0) and pair.in_words().endswith("(too close to call from 20 to 20).")


def test_curves_over_other_amounts_are_refused():
    with pytest.raises(ValueError, match="over the same amounts"):
        break_even(_curve([1, 2]), _curve([1, 2, 3], 2))


def test_blocked_and_late_stretches_are_told_with_their_ends(over_distance):
    curve = _curve([1, 1, 1, 1], 3, ("clear", "clear", "blocked", "blocked"))
    late = Curve(**{**vars(curve), "chance": np.array([0.9, 0.7, 0.7, 0.6])})
    found = stops(type(over_distance)(over_distance.comparison, "haul_distance", 80.0, curve.amounts, None, (late,)))
    assert [stop.in_words("miles") for stop in found] == [
        "Path 3 is blocked from 30 miles on: too long",
        "Path 3 is too late from 20 to 20 miles: 70% likely to be off the site by the deadline, 80% is planned at.",
    ]


def test_crane_hours_and_axles_give_curves_too(museum, samples, switcher):
    hours = curves(switcher, "crane_hours", [0, 20, 40, 60, 80])
    answer = price_path(museum, "foundry_switcher", "trailer", {"crane_hours": 40}, samples)
    assert hours.path("trailer").cost_usd[2] == pytest.approx(np.percentile(answer.trials.cost_usd, 80))
    axles = curves(switcher, "axles", [4, 5, 6, 7])
    answer = price_path(museum, "foundry_switcher", "convert_axles", {"axles": 6}, samples)
    assert axles.path("convert_axles").cost_usd[2] == pytest.approx(np.percentile(answer.trials.cost_usd, 80))


def test_a_weight_curve_is_screened_at_each_weight(museum, samples):
    found = curves(compare_paths(museum, "caboose", {"haul_distance": 100}, samples), "weight", [22, 60])
    answer = price_path(museum, "caboose", "roll_on", {"haul_distance": 100, "weight": 60}, samples)
    assert found.path("roll_on").statuses == ("caution", answer.status) and answer.status == "blocked"


@pytest.mark.parametrize(
    ("driver", "amounts", "percent", "said"),
    [
        ("haul_distance", [100], None, "found 1; allowed: at least 2 that differ"),
        ("haul_distance", [0, 100], None, "allowed: a value above 0"),
        ("motors", None, None, "allowed: amounts, or a driver with a slider"),
        ("haul_distance", None, 100, "percent: found 100"),
        ("miles", [1, 2], None, 'found "miles"'),
    ],
)
def test_what_cannot_be_swept_is_refused_with_what_is_allowed(switcher, driver, amounts, percent, said):
    with pytest.raises(PlannerError, match=said):
        curves(switcher, driver, amounts, percent)


def test_the_chart_says_the_first_break_even_and_draws_every_usable_path(over_distance):
    chart = break_even_curves(over_distance)
    turning = [pair for pair in break_evens(over_distance) if pair.flips]
    assert turning and all(pair.in_words() in chart.alt for pair in turning)
    numbers = {text.get_text() for text in chart.figure.axes[0].texts}
    assert {str(curve.number) for curve in over_distance.usable()} <= numbers


def test_the_screen_says_how_the_rail_route_follows(museum, switcher):
    page = show_break_even(desk_of(switcher), "haul_distance")
    assert "It makes the longest leg of each path longer or shorter, in the same proportion" in page.replace("\n", " ")
    assert "Break-even of two paths" in page
