"""Tie-downs of a road load."""

import pytest

from heritagemove.checks.road import securement
from heritagemove.units.units import Quantity

LENGTH_RULE = {
    "short_length": Quantity(5, "ft"),
    "light_weight": Quantity(1100, "lb"),
    "spacing": Quantity(10, "ft"),
}
LIMITS = {"weight_share": 0.5, "direct_credit": 0.5, "heavy_minimum": 4, **LENGTH_RULE}
BODY = (Quantity(156000, "lb"), Quantity(44.5, "ft"), Quantity(11300, "lb"))


def check(offered, weight=BODY[0], length=BODY[1], working_load=BODY[2], heavy_vehicle=True):
    return securement.securement(offered, weight, length, working_load, True, False, heavy_vehicle, **LIMITS)


def test_a_chain_size_that_is_not_listed_has_no_limit():
    column = Quantity([0.375, 0.5], "in"), Quantity([7100, 12000], "lb")
    assert securement.chain_working_load(Quantity(0.4375, "in"), *column) is None
    assert securement.chain_working_load(Quantity(12.7, "mm"), *column) == Quantity(12000, "lb")


def test_a_column_with_a_gap_is_refused():
    with pytest.raises(ValueError, match="found 2 sizes, 1 limits"):
        securement.chain_working_load(
            Quantity(0.5, "in"), Quantity([0.375, 0.5], "in"), Quantity([7100], "lb")
        )


def test_a_direct_tie_down_counts_half_of_one_over_the_top():
    weight, chain = Quantity(60000, "lb"), Quantity(6600, "lb")
    assert securement.aggregate_working_load(weight, chain, True, 0.5, 0.5) == 10
    assert securement.aggregate_working_load(weight, chain, False, 0.5, 0.5) == 5


def test_a_sum_that_is_just_reached_needs_no_further_chain():
    assert securement.aggregate_working_load(Quantity(26400, "lb"), Quantity(6600, "lb"), True, 0.5, 0.5) == 4
    assert securement.aggregate_working_load(Quantity(26401, "lb"), Quantity(6600, "lb"), True, 0.5, 0.5) == 5


@pytest.mark.parametrize(
    ("length", "weight", "blocked", "count"),
    [
        (5, 1100, False, 1), (5, 1101, False, 2), (5.1, 1000, False, 2), (10, 9000, False, 2),
        (10.1, 9000, False, 3), (20, 9000, False, 3), (44, 9000, False, 6),
        (5, 9000, True, 1), (10, 9000, True, 1), (10.1, 9000, True, 2), (44, 9000, True, 5),
    ],
)  # fmt: skip
def test_the_number_grows_with_each_ten_feet_or_part_of_it(length, weight, blocked, count):
    found = securement.minimum_tie_downs(
        Quantity(length, "ft"), Quantity(weight, "lb"), blocked, **LENGTH_RULE
    )
    assert found == count


def test_twenty_feet_typed_in_metres_is_not_a_foot_longer():
    found = securement.minimum_tie_downs(Quantity(6.096, "m"), Quantity(9000, "lb"), False, **LENGTH_RULE)
    assert found == 3


def test_a_vehicle_on_wheels_has_four_at_least():
    args = (Quantity(12000, "lb"), Quantity(9, "ft"), Quantity(6600, "lb"), True, False)
    assert securement.tie_downs(*args, False, **LIMITS) == 2
    assert securement.tie_downs(*args, True, **LIMITS) == 4


def test_strength_governs_a_heavy_body_and_the_margin_is_weight():
    assert securement.tie_downs(*BODY, True, False, True, **LIMITS) == 14
    enough, short = check(14), check(13)
    assert (enough.status, short.status) == ("marginal", "fail")
    assert enough.margin.m_as("lb") == pytest.approx(14 * 11300 - 156000)
    assert short.margin.m_as("lb") == pytest.approx(13 * 11300 - 156000)
    assert enough.note.startswith("14 such tie-downs needed, 14 offered.")


def test_too_few_strong_chains_fail_by_number():
    strong = check(5, working_load=Quantity(80000, "lb"))
    assert strong.status == "fail"
    assert strong.margin == Quantity(-1, "tie_down")


@pytest.mark.parametrize(
    ("missing", "words"),
    [("weight", "weigh the load"), ("length", "measure the length"), ("working_load", "marked on the chain")],
)
def test_missing_data_are_unknown_and_say_what_to_find_out(missing, words):
    result = check(20, **{missing: None})
    assert result.status == "unknown"
    assert words in result.note


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"weight": Quantity(0, "lb")}, "weight must be more than 0; found 0 lb"),
        ({"length": Quantity(-3, "ft")}, "length must be more than 0; found -3 ft"),
        ({"working_load": Quantity(0, "lb")}, "working load limit must be more than 0; found 0 lb"),
        ({"offered": -1}, "tie-downs offered must be at least 0; found -1"),
    ],
)
def test_bad_values_are_refused_in_a_planners_words(change, message):
    with pytest.raises(ValueError) as error:
        check(**{"offered": 4, **change})
    assert str(error.value) == message


@pytest.mark.parametrize("credit", [0, 1.5])
def test_a_credit_beyond_the_working_load_limit_is_refused(credit):
    with pytest.raises(ValueError, match="direct credit must be more than 0 and at most 1"):
        securement.aggregate_working_load(Quantity(1, "lb"), Quantity(1, "lb"), True, 0.5, credit)
