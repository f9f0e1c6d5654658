"""Laws of trains on spans: exact maxima bound any sweep, mirror, scale, and never shrink with weight."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritagemove.checks.rail import moving_loads, rail_bridge
from heritagemove.units.units import Quantity

LAW = settings(max_examples=50, deadline=None)
SPANS = st.floats(3, 150)
GAPS = st.lists(st.floats(3, 30), min_size=0, max_size=7)
COOPER_FT = [0, 8, 13, 18, 23, 32, 37, 43, 48, 56, 64, 69, 74, 79, 88, 93, 99, 104]
COOPER = np.array([0.5, 1, 1, 1, 1, 0.65, 0.65, 0.65, 0.65] * 2)


def lb(number):
    return Quantity(number, "lb")


def ft(number):
    return Quantity(number, "ft")


@st.composite
def trains(draw):
    places = np.cumsum([0, *draw(GAPS)])
    return places, np.array([draw(st.floats(5000, 80000)) for _ in places])


def moment(places, loads, span):
    return moving_loads.maximum_moment(ft(places), lb(loads), ft(span)).m_as("kip * ft")


def shear(places, loads, span):
    return moving_loads.shear_kip(span, *moving_loads.train_floats(ft(places), lb(loads)))


def rating(places, loads, span):
    return rail_bridge.equivalent_cooper(ft(places), lb(loads), ft(span)).magnitude


def swept(places, loads_kip, span, steps=400):
    """Return moment and end shear by rolling the axles over in small steps: plain and independent."""
    most_moment = most_shear = 0.0
    for shift in np.linspace(-places[-1], span, steps):
        at = places + shift
        on = (at >= 0) & (at <= span)
        at, load = at[on], loads_kip[on]
        left = (load * (span - at)).sum() / span
        most_shear = max(most_shear, left, load.sum() - left)
        for section in at:
            most_moment = max(most_moment, left * section - (load * np.maximum(section - at, 0)).sum())
    return most_moment, most_shear


@LAW
@given(trains(), SPANS)
def test_no_step_by_step_sweep_finds_more_than_the_exact_maxima_and_it_comes_close(train, span):
    places, loads = train
    by_moment, by_shear = swept(places, loads / 1000, span)
    # Half a step of the sweep can miss this much.
    step = (places[-1] + span) / 399 / 2
    missed = step * loads.sum() / 1000
    assert by_moment <= moment(places, loads, span) * (1 + 1e-9) <= by_moment + 2 * missed + 1e-6
    assert by_shear <= shear(places, loads, span) * (1 + 1e-9) <= by_shear + 2 * missed / span + 1e-6


@LAW
@given(trains(), SPANS)
def test_the_direction_in_which_a_train_runs_is_irrelevant(train, span):
    places, loads = train
    turned = places[-1] - places[::-1], loads[::-1]
    assert moment(*turned, span) == pytest.approx(moment(places, loads, span))
    assert shear(*turned, span) == pytest.approx(shear(places, loads, span))


@LAW
@given(trains(), SPANS, st.floats(0.1, 5), st.floats(-100, 100))
def test_maxima_are_linear_in_the_load_and_blind_to_where_positions_start(train, span, factor, start):
    places, loads = train
    assert moment(places + start, factor * loads, span) == pytest.approx(factor * moment(places, loads, span))
    assert shear(places + start, factor * loads, span) == pytest.approx(factor * shear(places, loads, span))


@LAW
@given(trains(), SPANS, st.floats(0, 30000), st.data())
def test_one_heavier_axle_never_lowers_the_equivalent_rating(train, span, more, data):
    places, loads = train
    heavier = loads.copy()
    heavier[data.draw(st.integers(0, loads.size - 1))] += more
    assert rating(places, heavier, span) >= rating(places, loads, span) * (1 - 1e-9)


@LAW
@given(trains(), SPANS, st.floats(3, 60), st.floats(5000, 80000))
def test_one_more_axle_never_lowers_the_maxima(train, span, gap, load):
    places, loads = train
    longer = np.append(places, places[-1] + gap), np.append(loads, load)
    assert moment(*longer, span) >= moment(places, loads, span) * (1 - 1e-9)
    assert shear(*longer, span) >= shear(places, loads, span) * (1 - 1e-9)


@LAW
@given(trains(), SPANS, st.floats(1, 50))
def test_a_longer_span_never_has_a_smaller_moment(train, span, more):
    assert moment(*train, span + more) >= moment(*train, span) * (1 - 1e-9)


@LAW
@given(st.floats(3, 300), st.floats(10, 100))
def test_a_cooper_train_has_its_own_rating_on_every_span(span, number):
    train = ft(COOPER_FT), Quantity(number * COOPER, "kip")
    behind = Quantity(number / 10, "kip/ft"), ft(109)
    found = rail_bridge.equivalent_cooper(*train, ft(span), *behind).magnitude
    assert found == pytest.approx(number)


@LAW
@given(st.floats(3, 300))
def test_the_following_load_never_lowers_what_the_engines_alone_do(span):
    alone = moving_loads.maximum_moment(ft(COOPER_FT), Quantity(80 * COOPER, "kip"), ft(span)).m_as("kip * ft")
    assert 80 * rail_bridge.cooper_one(ft(span)).moment >= alone * (1 - 1e-9)


@LAW
@given(trains(), SPANS)
def test_the_equivalent_rating_is_the_same_in_si(train, span):
    places, loads = train
    metric = ft(places).to("m"), lb(loads).to("kg"), ft(span).to("m")
    assert rail_bridge.equivalent_cooper(*metric).magnitude == pytest.approx(rating(places, loads, span))


def bridge(train, span, normal, maximum, scaled=None, factor=1.0):
    places, loads = train
    marked = np.ones(loads.size, bool) if scaled is None else scaled
    grown = np.where(marked, factor * loads, loads)
    weight = lb(float(grown[marked].sum()))
    return rail_bridge.rail_bridge(ft(places), lb(grown), ft(span), normal, maximum, weight, "bridge", scaled)


@LAW
@given(trains(), SPANS, st.floats(20, 80))
def test_a_vehicle_with_its_margin_added_stands_exactly_at_the_maximum_rating(train, span, maximum):
    margin = bridge(train, span, 10, maximum).margin.m_as("lb")
    grown = train[1] * (1 + margin / train[1].sum())
    assert rating(train[0], grown, span) == pytest.approx(maximum)


@LAW
@given(trains(), SPANS, st.floats(20, 80), st.data())
def test_in_a_consist_the_marked_axles_grow_until_the_rating_and_no_further(train, span, maximum, data):
    places, loads = train
    scaled = np.array(data.draw(st.lists(st.booleans(), min_size=loads.size, max_size=loads.size)))
    scaled[data.draw(st.integers(0, loads.size - 1))] = True
    found = bridge(train, span, 10, maximum, scaled)
    factor = 1 + found.margin.m_as("lb") / loads[scaled].sum()
    if factor > 1e-6:
        grown = np.where(scaled, factor * loads, loads)
        assert rating(places, grown, span) == pytest.approx(maximum, rel=1e-6)
    else:
        assert found.status == "fail"
        assert rating(places[~scaled], loads[~scaled], span) >= maximum * (1 - 1e-6)


@LAW
@given(trains(), SPANS, st.floats(20, 80), st.floats(1, 3))
def test_a_heavier_vehicle_never_has_a_larger_margin_or_a_better_status(train, span, maximum, factor):
    order = ("pass", "open", "fail")
    light, heavy = (bridge(train, span, maximum - 10, maximum, None, by) for by in (1, factor))
    assert heavy.margin.m_as("lb") <= light.margin.m_as("lb") + 1e-3
    assert order.index(heavy.status) >= order.index(light.status)


@LAW
@given(trains(), SPANS, st.floats(20, 80))
def test_the_margin_is_negative_exactly_when_the_bridge_fails(train, span, maximum):
    found = bridge(train, span, maximum / 2, maximum)
    assert (found.margin.m_as("lb") < 0) == (found.status == "fail")
