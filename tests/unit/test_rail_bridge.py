"""Axle trains on simple spans, their Cooper E number, and the ratings of a bridge."""

import numpy as np
import pytest

from heritagemove.checks.rail import moving_loads, rail_bridge
from heritagemove.units.units import Quantity


def lb(number):
    return Quantity(number, "lb")


def ft(number):
    return Quantity(number, "ft")


def kip(number):
    return Quantity(number, "kip")


COOPER_FT = ft([0, 8, 13, 18, 23, 32, 37, 43, 48, 56, 64, 69, 74, 79, 88, 93, 99, 104])
E80_KIP = kip([40, 80, 80, 80, 80, 52, 52, 52, 52] * 2)
SWITCHER = ft([7.25, 15.25, 29.25, 37.25]), lb([57500] * 4)


def kip_ft(moment):
    return moment.m_as("kip * ft")


def shear_kip(positions, loads, span, *uniform):
    return moving_loads.shear_kip(span.m_as("ft"), *moving_loads.train_floats(positions, loads, *uniform))


def check(normal=40, maximum=46, span=14, weight=230000, **more):
    return rail_bridge.rail_bridge(*SWITCHER, ft(span), normal, maximum, lb(weight), "trestle", **more)


def test_one_axle_has_its_largest_moment_at_midspan():
    assert kip_ft(moving_loads.maximum_moment(ft([0]), kip([80]), ft(14))) == pytest.approx(280)


def test_one_axle_has_its_largest_shear_over_a_support():
    assert shear_kip(ft([0]), kip([80]), ft(14)) == pytest.approx(80)


def test_two_axles_too_far_apart_for_the_span_count_as_one():
    assert kip_ft(moving_loads.maximum_moment(ft([0, 30]), kip([80, 60]), ft(20))) == pytest.approx(400)
    assert shear_kip(ft([0, 30]), kip([80, 60]), ft(20)) == pytest.approx(80)


def test_a_single_heavy_axle_may_govern_over_both_together():
    both = (40 * 24 - 8 * 14) ** 2 / (4 * 40 * 24)
    assert kip_ft(moving_loads.maximum_moment(ft([0, 14]), kip([8, 32]), ft(24))) == pytest.approx(32 * 24 / 4)
    assert both < 32 * 24 / 4


def test_the_absolute_maximum_is_not_at_midspan():
    axles = ft([0, 16, 28]), kip([24, 24, 6])
    largest = kip_ft(moving_loads.maximum_moment(*axles, ft(40)))
    at_midspan = 24 * 20 / 2 + 24 * (20 - 16) / 2 + 0  # the heavier pair with its first axle in the middle
    assert largest == pytest.approx(323, abs=0.5)
    assert at_midspan < largest


def test_axles_off_the_span_add_nothing():
    near = kip_ft(moving_loads.maximum_moment(ft([0, 5]), kip([40, 40]), ft(20)))
    far = kip_ft(moving_loads.maximum_moment(ft([0, 5, 60, 65]), kip([40, 40, 39, 39]), ft(20)))
    assert far == pytest.approx(near)


def test_a_weight_on_a_ticket_presses_like_the_same_number_of_pounds_force():
    mass = moving_loads.maximum_moment(*SWITCHER, ft(30))
    force = moving_loads.maximum_moment(SWITCHER[0], Quantity([57500] * 4, "lbf"), ft(30))
    assert kip_ft(mass) == pytest.approx(kip_ft(force))


def test_a_uniform_load_behind_the_axles_fills_a_span_that_it_covers():
    behind = {"uniform": Quantity(8, "kip/ft"), "uniform_from": ft(1)}
    light = ft([0]), kip([0.001])
    assert kip_ft(moving_loads.maximum_moment(*light, ft(40), **behind)) == pytest.approx(1600, abs=0.05)
    assert shear_kip(*light, ft(40), *behind.values()) == pytest.approx(160, abs=0.01)


def test_on_a_short_span_the_axles_of_the_cooper_train_govern():
    axles_alone = moving_loads.maximum_moment(COOPER_FT, E80_KIP, ft(20))
    assert 80 * rail_bridge.cooper_one(ft(20)).moment == pytest.approx(kip_ft(axles_alone))


def test_cooper_tables_leave_out_the_heavier_alternate_load():
    alternate = moving_loads.maximum_moment(ft([0, 5, 11, 16]), kip([100] * 4), ft(20))
    assert kip_ft(alternate) / 2 == pytest.approx(475.21, abs=0.006)
    assert 80 * rail_bridge.cooper_one(ft(20)).moment / 2 == pytest.approx(412.5)
    with pytest.raises(ValueError, match=r"^span must be more than 0; found 0 ft$"):
        rail_bridge.cooper_one(ft(0))


def test_shear_may_govern_the_equivalent_rating():
    axles = ft([0, 9, 31, 40]), lb([64930] * 4)
    one = rail_bridge.cooper_one(ft(40))
    by_moment = kip_ft(moving_loads.maximum_moment(*axles, ft(40))) / one.moment
    by_shear = shear_kip(*axles, ft(40)) / one.shear
    assert by_moment == pytest.approx(31.2, abs=0.05)
    assert by_shear > by_moment
    assert rail_bridge.equivalent_cooper(*axles, ft(40)).magnitude == pytest.approx(by_shear)


@pytest.mark.parametrize(
    ("positions", "loads", "message"),
    [
        ([0, 5, 5], [1, 1, 1], "axle positions must rise from front to rear; found 0, 5, 5 ft"),
        ([5, 0], [1, 1], "axle positions must rise from front to rear; found 5, 0 ft"),
        ([0, 5], [1], "give one position for each axle load; found 2 and 1"),
        ([], [], "give at least 1 axle load; found none"),
        ([0, 5], [1000, 0], "every axle load must be more than 0; found 0 lb"),
        ([0, 5], [-3, 1000], "every axle load must be more than 0; found -3 lb"),
    ],
)
def test_bad_trains_are_refused_with_what_was_found(positions, loads, message):
    for function in (moving_loads.maximum_moment, rail_bridge.equivalent_cooper):
        with pytest.raises(ValueError, match=f"^{message}$"):
            function(ft(positions), lb(loads), ft(30))


def test_a_uniform_load_without_its_beginning_or_under_the_axles_is_refused():
    with pytest.raises(ValueError, match="both its weight per foot and where it begins"):
        moving_loads.maximum_moment(*SWITCHER, ft(30), uniform=Quantity(8, "kip/ft"))
    with pytest.raises(ValueError, match=r"at or behind the last axle, 37\.25 ft; found 30 ft"):
        moving_loads.maximum_moment(*SWITCHER, ft(30), Quantity(8, "kip/ft"), ft(30))


def test_a_train_couples_its_vehicles_with_spacer_cars_between():
    engine = ft([0, 8, 13, 18, 23, 32, 37, 43, 48]), E80_KIP[:9] * 2, ft(56)
    spacer = ft([6, 34]), lb([20000, 20000]), ft(40)
    coupled = moving_loads.train(engine, spacer, (*SWITCHER, ft(44.5)))
    assert coupled.positions.m_as("ft")[8:].tolist() == [48, 62, 90, 103.25, 111.25, 125.25, 133.25]
    assert coupled.vehicle == (0,) * 9 + (1,) * 2 + (2,) * 4
    assert coupled.length.m_as("ft") == 140.5


def test_two_cooper_engines_coupled_are_the_cooper_train():
    engine = COOPER_FT[:9], E80_KIP[:9], ft(56)
    coupled = moving_loads.train(engine, engine)
    assert coupled.positions.m_as("ft").tolist() == COOPER_FT.m_as("ft").tolist()
    assert coupled.loads.m_as("lb") == pytest.approx(E80_KIP.m_as("lbf"))


def test_bad_vehicles_of_a_train_are_refused_by_number():
    with pytest.raises(ValueError, match="give at least 1 vehicle; found none"):
        moving_loads.train()
    expected = r"axles of vehicle 2 must stand between 0 and its length, 30 ft; found 7\.25 to 37\.25 ft"
    with pytest.raises(ValueError, match=expected):
        moving_loads.train((*SWITCHER, ft(44.5)), (*SWITCHER, ft(30)))
    with pytest.raises(ValueError, match="length over couplers must be more than 0; found 0 ft"):
        moving_loads.train((*SWITCHER, ft(0)))


def test_between_normal_and_maximum_the_engineer_of_a_bridge_is_asked():
    found = check()
    assert found.status == "open"
    assert found.demand.magnitude == pytest.approx(42.59, abs=0.01)
    assert found.margin.m_as("lb") == pytest.approx(18400, abs=50)
    asked = "The bridge's engineer is asked above the normal rating"
    assert found.note.startswith(f"{asked}: E42.6 against normal E40 and maximum E46.")
    assert "bridge engineer decides" in found.note


def test_up_to_the_normal_rating_a_bridge_passes_and_above_the_maximum_it_fails():
    demand = check().demand.magnitude
    assert check(demand, demand + 1).status == "pass"
    assert check(demand - 1, demand).status == "open"
    failed = check(demand - 2, demand - 1)
    assert failed.status == "fail"
    assert failed.margin.m_as("lb") == pytest.approx(-230000 / demand)


def test_a_closed_bridge_asks_for_the_whole_weight_to_come_off():
    closed = check(0, 0)
    assert closed.status == "fail"
    assert closed.margin.m_as("lb") == pytest.approx(-230000)
    assert closed.note.startswith("The rating is used up")


@pytest.mark.parametrize(("normal", "maximum"), [(None, 46), (40, None)])
def test_a_missing_rating_is_unknown_and_says_whom_to_ask(normal, maximum):
    found = check(normal, maximum)
    assert (found.status, found.demand, found.margin) == ("unknown", None, None)
    assert "ask the bridge's owner" in found.note


@pytest.mark.parametrize("missing", ["positions", "loads", "weight"])
def test_a_vehicle_that_was_not_measured_is_unknown(missing):
    known = {"positions": SWITCHER[0], "loads": SWITCHER[1], "weight": lb(230000)} | {missing: None}
    found = rail_bridge.rail_bridge(**known, span=ft(14), normal=40, maximum=46, name="trestle")
    assert found.status == "unknown"
    assert "weigh the vehicle and measure the distances between its axles" in found.note


def test_an_unknown_span_is_unknown():
    found = rail_bridge.rail_bridge(*SWITCHER, None, 40, 46, lb(230000), "trestle")
    assert found.status == "unknown"


@pytest.mark.parametrize(("normal", "maximum"), [(-1, 46), (47, 46), (40, float("nan")), (40, float("inf"))])
def test_ratings_that_contradict_each_other_are_refused(normal, maximum):
    with pytest.raises(ValueError, match="at least 0 and normal at most maximum; found normal"):
        check(normal, maximum)


@pytest.mark.parametrize("weight", [0, -1, 233000])
def test_a_weight_that_the_axles_do_not_carry_is_refused(weight):
    expected = "more than 0 and at most what its axles carry, 230,000 lb; found"
    with pytest.raises(ValueError, match=expected):
        check(weight=weight)


@pytest.mark.parametrize("scaled", [[False] * 4, [True] * 3])
def test_a_mark_that_fits_no_axle_is_refused(scaled):
    with pytest.raises(ValueError, match="mark at least 1 of 4 axles"):
        check(scaled=np.array(scaled))


ENGINE = ft([5, 14, 36, 45]), lb([65000] * 4), ft(50)
CONSIST = moving_loads.train(ENGINE, (*SWITCHER, ft(44.5)))
OWN = np.array(CONSIST.vehicle) == 1


def consist_check(maximum, span=60):
    axles = CONSIST.positions, CONSIST.loads
    return rail_bridge.rail_bridge(*axles, ft(span), 10, maximum, lb(230000), "girder", OWN)


def test_behind_an_engine_only_the_vehicle_s_own_axles_grow():
    found = consist_check(50)
    grown = np.where(OWN, CONSIST.loads.m_as("lb") * (1 + found.margin.m_as("lb") / 230000), 65000)
    demand = rail_bridge.equivalent_cooper(CONSIST.positions, lb(grown), ft(60)).magnitude
    assert demand == pytest.approx(50, abs=1e-5)


def test_an_engine_that_is_too_heavy_by_itself_leaves_nothing_for_the_vehicle():
    alone = rail_bridge.equivalent_cooper(*ENGINE[:2], ft(60)).magnitude
    found = consist_check(alone - 1)
    assert found.status == "fail"
    assert found.margin.m_as("lb") == pytest.approx(-230000)
    assert found.note.startswith("The rating is used up")
