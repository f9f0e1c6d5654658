"""Federal bridge formula: rounding, groups, caps, the exception for two tandems."""

import numpy as np
import pytest

from heritagemove.checks.road.bridge_formula import bridge_formula, formula_weight
from heritagemove.units.units import Quantity

STEP = Quantity(500, "lb")
LIMITS = {
    "step": STEP,
    "single": Quantity(20000, "lb"),
    "tandem": Quantity(34000, "lb"),
    "gross": Quantity(80000, "lb"),
    "single_spread": Quantity(40, "in"),
    "tandem_spread": Quantity(96, "in"),
    "tandem_pair_length": Quantity(36, "ft"),
}


def feet(*values):
    return Quantity(np.array(values, dtype=float), "ft")


def pounds(*values):
    return Quantity(np.array(values, dtype=float), "lb")


def check(positions, loads, **changes):
    return bridge_formula(positions, loads, **{**LIMITS, **changes})


@pytest.mark.parametrize(("length", "axles", "down", "up"), [(9, 3, 42500, 43000), (18, 5, 59000, 59500)])
def test_the_official_tables_differ_on_ties_and_both_are_offered(length, axles, down, up):
    assert formula_weight(Quantity(length, "ft"), axles, STEP).m_as("lb") == down
    assert formula_weight(Quantity(length, "ft"), axles, STEP, ties="up").m_as("lb") == up


@pytest.mark.parametrize("ties", ["down", "up"])
def test_away_from_a_tie_both_rules_agree(ties):
    assert formula_weight(Quantity(20, "ft"), 4, STEP, ties).m_as("lb") == 55500


def test_a_tie_stays_a_tie_when_the_length_was_typed_in_metres():
    assert formula_weight(Quantity(9 * 0.3048, "m"), 3, STEP).m_as("lb") == 42500
    assert formula_weight(Quantity(9 * 0.3048, "m"), 3, STEP, ties="up").m_as("lb") == 43000


def test_an_inner_group_fails_though_the_gross_weight_is_legal():
    found = check(feet(0, 16, 20, 47, 51), pounds(12000, 17000, 17000, 17000, 17000))
    assert found.status == "fail"
    assert found.subject == "road load, axles 2 to 5"
    assert found.margin.m_as("lb") == pytest.approx(80000 * (65500 / 68000 - 1))


def test_a_foot_more_between_the_tandems_brings_the_exception():
    apart = check(feet(0, 16, 20, 48, 52), pounds(11900, 16900, 16900, 16900, 16900))
    assert apart.status == "marginal"
    assert apart.margin.m_as("lb") > 0
    without = check(feet(0, 16, 20, 48, 52), pounds(11900, 16900, 16900, 16900, 16900),
                    tandem_pair_length=Quantity(37, "ft"))  # fmt: skip
    assert without.status == "fail"
    assert without.capacity.m_as("lb") == 66000


def test_the_exception_is_for_tandems_only_not_for_four_axles_spread_evenly():
    spread = check(feet(0, 12, 24, 36), pounds(16900, 16900, 16900, 16900))
    assert spread.status == "fail"
    assert spread.capacity.m_as("lb") == 66000


def test_three_axles_within_the_tandem_spread_share_one_tandem_cap():
    assert check(feet(0, 4, 8), pounds(12000, 12000, 12000)).capacity.m_as("lb") == 34000


def test_the_gross_cap_holds_however_long_the_layout():
    found = check(feet(0, 20, 40, 60, 80, 100), pounds(*[13500] * 6))
    assert (found.capacity.m_as("lb"), found.subject) == (80000, "road load, axles 1 to 6")


def test_one_axle_is_named_in_the_singular():
    assert check(feet(0, 20), pounds(21000, 8000)).subject == "road load, axle 1"


def test_missing_axle_loads_are_unknown_and_say_whom_to_ask():
    found = check(feet(0, 20), None)
    assert found.status == "unknown"
    assert found.note == "Unknown: get the axle spacings and axle loads of the loaded trailer from the hauler."


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: formula_weight(Quantity(0, "ft"), 3, STEP), "length of the axle group must be more than 0; found 0 ft"),
        (lambda: formula_weight(Quantity(9, "ft"), 1, STEP), "axles of the group must be at least 2; found 1"),
        (lambda: formula_weight(Quantity(9, "ft"), 3, STEP, "even"), 'ties must be "down" or "up"; found "even"'),
        (lambda: check(feet(0, 4), pounds(1)), "give one position for each axle load; found 2 and 1"),
        (lambda: check(feet(4, 0), pounds(1, 1)), "axle positions must rise from front to rear; found 4, 0 ft"),
        (lambda: check(feet(0, 4), pounds(1, -5)), "every axle load must be more than 0; found -5 lb"),
        (
            lambda: check(feet(0, 4), pounds(1, 1), tandem=Quantity(0, "lb")),
            "tandem cap must be more than 0; found 0 lb",
        ),
        (
            lambda: check(feet(0, 4), pounds(1, 1), single_spread=Quantity(100, "in")),
            "single spread must be at most the tandem spread, 96 in; found 100 in",
        ),
    ],
)
def test_values_out_of_range_are_refused_with_what_was_found(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message
