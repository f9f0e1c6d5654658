"""The way of a path: each leg with what its gates find there, and the strip that is drawn of it."""

import matplotlib
import pytest

from heritagemove.answers.route import ABOUT, strip, strip_of
from heritagemove.charts.route_strip import ROUTE_WORDS, route_finding, route_spots, route_strip
from heritagemove.checks.gates.screening import screen
from heritagemove.units.units import Quantity
from tests.two_stages import road_then_rail


@pytest.fixture(scope="module")
def ways(museum):
    """Every path of three units: light, heavy and on a trailer with pieces beside it."""
    found = {}
    for vehicle in ("foundry_switcher", "road_diesel", "consolidation"):
        for path in museum.paths:
            findings = screen(museum, vehicle, path.path).findings
            found[vehicle, path.path] = strip_of(museum, vehicle, path.path, findings), findings
    return found


def marks(way, about):
    return [mark for mark in way.marks if mark.about == about]


def test_the_worst_mark_of_a_gate_on_the_way_is_what_the_gate_found(ways):
    worse = ("pass", "marginal", "open", "unknown", "fail")
    seen = 0
    for way, findings in ways.values():
        for finding in findings:
            own = [mark.finding for mark in way.marks if mark.finding.gate is finding.gate]
            if own and finding.check:
                seen += 1
                worst = max(own, key=lambda each: worse.index(each.status))
                # Alone on one side of a clearance a load may pass; both together are never better than the worst.
                assert worst.status == finding.status, (way.path, finding.gate.gate)
    assert seen > 100


def test_every_gate_stands_on_the_way_or_beside_it(ways):
    for way, findings in ways.values():
        on = {mark.finding.gate.gate for mark in way.marks}
        assert {f.gate.gate for f in findings} == (on - {""}) | {f.gate.gate for f in way.whole}


def test_each_bridge_of_the_route_has_its_own_mark_with_its_own_margin(ways):
    way, _ = ways["road_diesel", "own_wheels"]
    found = {mark.where: mark.finding.status for mark in marks(way, "bridge")}
    assert found["Timber trestle, 14-ft panels"] == "fail" and found["Deck plate girder"] == "pass" and len(found) == 4
    assert len({mark.finding.check.margin.m_as("lb") for mark in marks(way, "bridge") if mark.finding.check.margin}) >= 3


def test_legs_begin_where_the_one_before_ends_and_a_detour_stands_behind_its_bridge(ways):
    way, _ = ways["road_diesel", "roll_on"]
    for before, after in zip(way.stretches, way.stretches[1:], strict=False):
        assert after.begins == pytest.approx(before.begins + before.miles)
    names = [stretch.title for stretch in way.stretches]
    at = next(place for place, stretch in enumerate(way.stretches) if stretch.detour)
    assert names[at - 1] == "County Road 14" and way.miles == pytest.approx(108.7)
    assert "Steel stringers, 2 lanes" not in {mark.where for mark in way.marks}


def test_a_path_that_moves_nothing_has_no_way(ways):
    way, _ = ways["road_diesel", "decline"]
    assert way.stretches == way.marks == () and "goes nowhere" in route_strip(way).alt


def test_what_is_not_measured_is_unknown_where_it_stands(museum):
    blind = museum.with_changes(
        legs=[row.model_copy(update={"clear_height": None}) if row.leg == "halcyon_trunk" else row for row in museum.legs]
    )
    way = strip_of(blind, "foundry_switcher", "own_wheels", screen(blind, "foundry_switcher", "own_wheels").findings)
    assert [mark.finding.status for mark in marks(way, "height")].count("unknown") == 1
    assert "unknown: height, Halcyon Trunk Lines" in route_strip(way).alt


def test_several_stages_stand_behind_each_other_each_with_its_carrier(museum):
    two = road_then_rail(museum)
    way = strip_of(two, "foundry_switcher", "trailer", screen(two, "foundry_switcher", "trailer").findings)
    assert [stretch.carried_on for stretch in way.stretches] == ["trailer", *["flat_car"] * 4]
    at = {mark.about: {each.at for each in marks(way, mark.about)} for mark in way.marks}
    assert at["side"] == {1, 2, 3, 4} and 0 in at["curve or turn"] and at["lift or shift"] >= {0, 1, 4}
    written = [text.get_text() for text in route_strip(way).figure.findobj(matplotlib.text.Text)]
    assert "on a flat car" in written and any(text.startswith("on a t") for text in written)


def test_the_picture_says_each_status_in_words_and_no_leg_is_too_narrow_to_read(museum, ways):
    for path in ("own_wheels", "idler_trucks", "transporter"):
        way, _ = ways["road_diesel", path]
        chart = route_strip(way)
        written = " ".join(text.get_text() for text in chart.figure.findobj(matplotlib.text.Text))
        assert {ROUTE_WORDS[mark.finding.status] for mark in way.marks if mark.about == "bridge"} <= set(written.split())
        assert chart.alt.startswith(route_finding(way)) and len(chart.figure.get_axes()) == 1
        spots = route_spots(way)
        assert min(spot.width for spot in spots) * 9 > 0.9
        assert all(spot.left > 0 and spot.left + spot.width <= 1 and spot.top + spot.height < 1 for spot in spots)


def test_a_long_way_of_many_legs_goes_on_below(museum, ways):
    way, _ = ways["foundry_switcher", "own_wheels"]
    twice = type(way)(**(vars(way) | {"stretches": way.stretches * 4, "marks": way.marks}))
    tall = route_strip(twice).figure.get_size_inches()[1]
    assert tall > 1.5 * route_strip(way).figure.get_size_inches()[1] - 1


def test_marks_stand_in_the_order_of_their_lanes(ways):
    for way, _ in ways.values():
        order = [(ABOUT.index(mark.about), mark.at) for mark in way.marks]
        assert order == sorted(order)


def test_a_longer_haul_makes_the_strip_longer_and_moves_no_mark(switcher):
    way = strip(switcher, "trailer")
    longer = switcher.museum.with_haul_distance(140)
    findings = switcher.path("trailer").findings
    far = strip_of(longer, "foundry_switcher", "trailer", findings)
    assert far.miles > 130 > way.miles and [mark.where for mark in far.marks] == [mark.where for mark in way.marks]


def test_wires_ask_for_air_and_a_wire_that_is_too_low_is_open(museum):
    tall = museum.with_changes(
        legs=[row.model_copy(update={"lowest_wire": Quantity(12, "ft")}) if row.leg == "museum_lane" else row
              for row in museum.legs]
    )  # fmt: skip
    way = strip_of(tall, "foundry_switcher", "trailer", screen(tall, "foundry_switcher", "trailer").findings)
    found = {mark.where: mark.finding for mark in marks(way, "wires")}
    assert found["Museum lane"].status == "open" and "10 wires to lift" in found["Museum lane"].found
