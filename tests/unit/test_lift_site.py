"""Ground pressure under an outrigger and distance to a power line."""

import pytest

from heritagemove.checks.lift import lift_site
from heritagemove.units.units import Quantity

PSF = "lb/ft**2"
TABLE_A = Quantity([50, 200, 350, 500, 750, 1000], "kV"), Quantity([10, 15, 20, 25, 35, 45], "ft")


GRAVEL = Quantity(3000, PSF)


def pressure(area_ft2=25, bearing=GRAVEL, load_lb=50000, share=0.75):
    return lift_site.ground_pressure(
        Quantity(110000, "lb"), Quantity(load_lb, "lb"), share, Quantity(area_ft2, "ft**2"), bearing
    )


def test_a_small_mat_on_gravel_fails_by_the_weight_that_is_too_much():
    check = pressure()
    assert check.status == "fail"
    assert check.demand.m_as(PSF) == pytest.approx(4800)
    assert check.margin.m_as("lb") == pytest.approx((3000 * 25 - 120000) / 0.75)


def test_unknown_ground_is_not_a_pass():
    check = pressure(bearing=None)
    assert check.status == "unknown"
    assert "ground engineer" in check.note


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"area_ft2": 0}, "mat area must be more than 0; found 0 ft²"),
        ({"load_lb": -1}, "load must be more than 0; found -1 lb"),
        ({"share": 1.1}, "share on one float must be more than 0 and at most 1; found 1.1"),
        ({"bearing": Quantity(0, PSF)}, "bearing must be more than 0; found 0 lb/ft²"),
    ],
)
def test_ground_pressure_refuses_values_out_of_range(change, message):
    with pytest.raises(ValueError) as error:
        pressure(**change)
    assert str(error.value) == message


@pytest.mark.parametrize(("kilovolt", "feet"), [(50, 10), (50.1, 15), (350, 20), (1000, 45)])
def test_a_voltage_at_the_top_of_a_row_belongs_to_that_row(kilovolt, feet):
    check = lift_site.power_line(Quantity(60, "ft"), Quantity(kilovolt, "kV"), *TABLE_A)
    assert check.demand.m_as("ft") == feet
    assert check.margin.m_as("ft") == 60 - feet


def test_the_required_distance_itself_is_allowed_and_an_inch_less_is_not():
    line = Quantity(69, "kV")
    assert lift_site.power_line(Quantity(15, "ft"), line, *TABLE_A).status == "marginal"
    assert lift_site.power_line(Quantity(179, "in"), line, *TABLE_A).status == "fail"
    assert lift_site.power_line(Quantity(0, "ft"), line, *TABLE_A).status == "fail"


@pytest.mark.parametrize(
    ("distance", "voltage", "words"),
    [
        (None, Quantity(12, "kV"), "measure how close"),
        (Quantity(30, "ft"), None, "ask the utility for the voltage"),
        (Quantity(300, "ft"), Quantity(1100, "kV"), "registered professional engineer"),
    ],
)
def test_a_line_that_cannot_be_judged_is_unknown(distance, voltage, words):
    check = lift_site.power_line(distance, voltage, *TABLE_A)
    assert check.status == "unknown"
    assert words in check.note


def test_a_shuffled_table_or_a_negative_distance_is_refused():
    with pytest.raises(ValueError, match="voltage rows must rise"):
        lift_site.power_line(
            Quantity(9, "ft"), Quantity(9, "kV"), Quantity([200, 50], "kV"), Quantity([15, 10], "ft")
        )
    with pytest.raises(ValueError, match="at least 0; found -1 ft"):
        lift_site.power_line(Quantity(-1, "ft"), Quantity(9, "kV"), *TABLE_A)
