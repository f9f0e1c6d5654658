"""Laws of the road haul: heavier, higher or longer never helps; SI gives the same answer."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from heritagemove.checks.road import permits, road, road_bridge, transporter
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
WEIGHTS = st.floats(1000, 500000)
MORE = st.floats(0, 100000)
LAYOUTS = st.lists(st.tuples(st.floats(3, 40), st.floats(2000, 40000)), min_size=1, max_size=13)
SPANS = st.floats(5, 250)
TRAILERS = {f"trailer {lb}": Quantity(lb, "lb") for lb in (50000, 110000, 175000, 260000, 600000)}
STATE = {"lead_width": Quantity(13, "ft"), "high_pole_height": Quantity(14.5, "ft"), "rear_length": Quantity(90, "ft")}


def pounds(number):
    return Quantity(number, "lb")


def layout(rows):
    gaps, loads = np.array(rows).T
    return Quantity(np.cumsum(gaps), "ft"), Quantity(loads, "lb")


def bridge(positions, loads, span_ft, lanes=1):
    return road_bridge.road_bridge(positions, loads, Quantity(span_ft, "ft"), 1.0, 1.5, "bridge", lanes)


@LAW
@given(LAYOUTS, SPANS, st.floats(1, 2))
def test_a_heavier_load_never_raises_the_margin_of_a_bridge(rows, span_ft, factor):
    positions, loads = layout(rows)
    light, heavy = (bridge(positions, load, span_ft) for load in (loads, factor * loads))
    assert heavy.demand.m_as("kip * ft") == pytest.approx(factor * light.demand.m_as("kip * ft"))
    assert heavy.margin.m_as("lb") <= light.margin.m_as("lb") + 1e-6


@LAW
@given(LAYOUTS, SPANS)
def test_a_load_brought_to_its_margin_meets_the_operating_factor(rows, span_ft):
    positions, loads = layout(rows)
    found = bridge(positions, loads, span_ft)
    factor = 1 + found.margin.m_as("lb") / loads.m_as("lb").sum()
    assert bridge(positions, factor * loads, span_ft).utilization == pytest.approx(1)


@LAW
@given(LAYOUTS, SPANS)
def test_a_trailer_run_backwards_strains_a_bridge_alike(rows, span_ft):
    positions, loads = layout(rows)
    back = Quantity((positions[-1] - positions).m_as("ft")[::-1], "ft")
    assert bridge(back, loads[::-1], span_ft).utilization == pytest.approx(bridge(positions, loads, span_ft).utilization)


@LAW
@given(LAYOUTS, SPANS)
def test_a_bridge_in_metres_and_kilograms_has_the_same_answer(rows, span_ft):
    positions, loads = layout(rows)
    trade = bridge(positions, loads, span_ft)
    span = Quantity(span_ft, "ft").to("m")
    metric = road_bridge.road_bridge(positions.to("m"), loads.to("kg"), span, 1.0, 1.5, "bridge")
    assert metric.margin.m_as("lb") == pytest.approx(trade.margin.m_as("lb"), rel=1e-9, abs=1e-3)


@LAW
@given(SPANS, st.floats(0, 50))
def test_a_longer_span_has_no_smaller_design_moment(span_ft, more_ft):
    short, long = (road_bridge.hs20_moment(Quantity(ft, "ft")).m_as("kip * ft") for ft in (span_ft, span_ft + more_ft))
    assert long >= short - 1e-9


@LAW
@given(st.floats(100, 250), st.floats(0, 60), st.floats(150, 300))
def test_a_higher_load_lowers_the_height_margin_inch_for_inch(height_in, more_in, lowest_in):
    low, high = (
        road.overall_height(Quantity(inch, "in"), Quantity(lowest_in, "in"), Quantity(3, "in"), "x").margin.m_as("in")
        for inch in (height_in, height_in + more_in)
    )
    assert low - high == pytest.approx(more_in, abs=1e-5)


@LAW
@given(st.floats(10, 20), st.floats(0, 5), st.lists(st.tuples(st.integers(0, 20), st.floats(12, 25)), max_size=6))
def test_a_higher_load_never_meets_fewer_wires(height_ft, more_ft, legs):
    counts, lowest = [n for n, _ in legs], [Quantity(ft, "ft") for _, ft in legs]
    air = [Quantity(6, "in")] * len(legs)
    low, high = (
        road.wires_to_lift(Quantity(ft, "ft"), counts, lowest, air) for ft in (height_ft, height_ft + more_ft)
    )
    assert 0 <= low <= high <= sum(counts)


@LAW
@given(*[st.floats(5, 200)] * 3, st.sampled_from(["width", "height", "length"]), st.floats(0, 50))
def test_a_larger_load_never_needs_fewer_escorts(width, height, length, grown, more):
    sizes = {"width": width, "height": height, "length": length}
    small = permits.escorts(*(Quantity(ft, "ft") for ft in sizes.values()), STATE)
    sizes[grown] += more
    large = permits.escorts(*(Quantity(ft, "ft") for ft in sizes.values()), STATE)
    assert small.lead <= large.lead and small.rear <= large.rear and small.high_pole <= large.high_pole
    assert small.pilot_cars <= large.pilot_cars


@LAW
@given(st.floats(0, 2000), st.floats(1, 300))
def test_the_days_cover_the_distance_and_one_fewer_would_not(miles, daily):
    days = permits.haul_days(Quantity(miles, "mile").to("km"), Quantity(daily, "mile")).magnitude
    assert days * daily >= miles - 1e-5
    assert days == 0 or (days - 1) * daily < miles + 1e-5


@LAW
@given(WEIGHTS, MORE, st.integers(2, 30))
def test_payload_on_a_transporter_lowers_the_margin_pound_for_pound(payload, more, lines):
    rest = (pounds(8800), pounds(13000), Quantity(1.4, "m"), Quantity(2.43, "m"), Quantity(1500, "lb/ft**2"))
    light, heavy = (
        transporter.transporter_ground_pressure(pounds(load), lines, *rest).margin.m_as("lb")
        for load in (payload, payload + more)
    )
    assert light - heavy == pytest.approx(more, abs=1e-3)


@LAW
@given(WEIGHTS, st.floats(5000, 80000), st.integers(1, 6))
def test_the_lines_carry_the_load_and_one_fewer_would_not(weight, per_line, minimum):
    lines = transporter.axle_lines(pounds(weight).to("tonne"), pounds(per_line), minimum)
    assert lines * per_line >= weight * (1 - 1e-6)
    assert lines == minimum or (lines - 1) * per_line < weight


@LAW
@given(WEIGHTS, st.floats(-10, 10), st.floats(0, 6), st.floats(1.01, 3))
def test_the_pull_is_in_proportion_to_the_weight(weight, grade, depth, factor):
    way = Quantity(grade, "percent"), Quantity(depth, "in"), Quantity(2, "percent")
    one, more = (transporter.haul_pull(pounds(w), *way).m_as("lbf") for w in (weight, factor * weight))
    assume(abs(one) > 1)
    assert more == pytest.approx(factor * one)


TABLE = [[pounds(limit) for limit in row] for row in ((29000, 50000, 60000, 80000), (29000, 36000, 47000, 60000))]


@LAW
@given(st.lists(st.floats(3.5, 20), min_size=1, max_size=12), st.floats(2000, 40000), st.floats(1.01, 2))
def test_more_weight_never_helps_an_axle_group_and_the_margin_is_where_it_fails(gaps, load, factor):
    place = Quantity(np.cumsum([0, *gaps]), "ft")

    def check(each):
        loads = Quantity(np.full(len(gaps) + 1, each), "lb")
        return permits.axle_groups(place, loads, *TABLE, Quantity(49, "in"), Quantity(96, "in"))

    light, heavy = check(load), check(load * factor)
    assume(light.status != "unknown")
    assert heavy.utilization > light.utilization
    assert heavy.margin < light.margin
    total = load * (len(gaps) + 1)
    grown = 1 + light.margin.m_as("lb") / total
    assert check(load * grown * 1.001).status == "fail" and check(load * grown * 0.999).status != "fail"
