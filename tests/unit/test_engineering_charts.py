"""The engineering charts: what a bar says, what a drawing says, and what stands at which weight a gate flips."""

from dataclasses import replace

import matplotlib
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle

from heritagemove import charts
from heritagemove.answers import weight_flips as flipping
from heritagemove.answers.weight_flips import needed_findings, statuses_at, weight_flips
from heritagemove.charts.engineering import gate_finding, in_feet, utilization_bars, worst_first
from heritagemove.charts.unit_drawing import unit_drawing
from heritagemove.checks.check import Check, unknown
from heritagemove.checks.gates.screening import Checks, screen
from heritagemove.checks.margins import margin_in_words
from heritagemove.units.units import Quantity

PATHS = ("own_wheels", "flat_car", "trailer", "transporter", "roll_on", "idler_trucks", "cut_up")


def check(margin, unit="lb", status="pass", of=""):
    capacity, margin = Quantity(100000, unit), Quantity(margin, unit)
    return Check("Any name", "the trestle", capacity - margin, capacity, status, margin, "", "", of)


def bars(museum, vehicle, path, figure=None):
    return utilization_bars(museum, vehicle, path, screen(museum, vehicle, path).findings, figure)


def drawing(museum, vehicle, path, figure=None):
    return unit_drawing(museum, vehicle, path, figure=figure)


def without(museum, vehicle, **missing):
    """Return the museum with some measures of a unit, and of its pieces where they have them, changed."""

    def changed(rows):
        known = {name: value for name, value in missing.items() if name in type(rows[0]).model_fields}
        return [row.model_copy(update=known) if row.vehicle == vehicle else row for row in rows]

    return museum.with_changes(vehicles=changed(museum.vehicles), pieces=changed(museum.pieces))


def texts(chart):
    return [text.get_text() for text in chart.figure.findobj(matplotlib.text.Text) if text.get_text()]


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (check(6450), "6,400 lb to spare: the trestle"),
        (check(-16216, status="fail"), "16,300 lb over: the trestle"),
        (check(14.9, "in", of="height"), "14 in under it: the trestle"),
        (check(-4.2, "in", "fail", "height"), "5 in too high: the trestle"),
        (check(0.96, "in", "marginal", "height"), "0.9 in under it: the trestle"),
        (check(-0.15, "ft", "fail", "width"), "1.8 in too wide: the trestle"),
        (check(13.8, "in", of="width"), "13 in of room: the trestle"),
        (check(4, "degree"), "4 degrees to spare: the trestle"),
        (check(304000, status="fail"), "not met: the trestle"),
        (unknown("Height", "leg", "measure the top"), "Unknown: measure the top."),
    ],
)
def test_a_margin_is_said_in_words_and_never_rounded_in_favour(found, words):
    assert margin_in_words(found) == words


def test_eleven_feet_and_twelve_inches_is_twelve_feet():
    assert in_feet(Quantity(143.97, "in")) == "12 ft 0 in"


def test_stops_come_first_then_unknowns_then_the_fullest(museum):
    tall = without(museum, "road_diesel", sharpest_curve=None)
    asked = [f for f in screen(tall, "road_diesel", "own_wheels").findings if f.gate.needs != "steam_engines"]
    order = [(f.status, f.check and f.check.utilization) for f in worst_first(asked)]
    statuses = [status for status, _ in order]
    behind = 1 + statuses.count("unknown")
    assert statuses[:behind] == ["fail", *["unknown"] * (behind - 1)] and behind > 1 and "fail" not in statuses[1:]
    used = [share or 0.0 for _, share in order[behind:]]
    assert used == sorted(used, reverse=True)


def test_the_title_names_the_gate_that_stops_it_or_the_tightest(museum):
    stopped = gate_finding(museum, "roll_on", screen(museum, "road_diesel", "roll_on").findings)
    assert "stopped by “Weight within the rail-deck trailer's payload”, 285,000 lb over" in stopped
    of_any_unit = [f for f in screen(museum, "coach", "own_wheels").findings if not f.gate.needs]
    clear = gate_finding(museum, "own_wheels", of_any_unit)
    assert "nothing measured stops it; tightest is" in clear
    assert "no gate of it hangs on a measurement" in gate_finding(museum, "decline", ())


def test_a_failing_bar_is_hatched_and_signed_and_a_passing_one_is_plain(museum):
    chart = bars(museum, "road_diesel", "own_wheels")
    hatches = [bar.get_hatch() for bar in chart.figure.axes[0].patches]
    assert hatches[0] == "xx" and hatches[-1] is None
    assert any(text.startswith("✕ ") for text in texts(chart)) and any(text.startswith("✓ ") for text in texts(chart))


def test_an_unknown_gate_is_dotted_up_to_the_limit_and_says_what_to_measure(museum):
    chart = bars(without(museum, "coach", width=None), "coach", "own_wheels")
    first = chart.figure.axes[0].patches[0]
    assert first.get_hatch() == ".." and first.get_width() == 1
    assert any("measure width" in text for text in texts(chart))


def test_a_bar_beyond_the_chart_says_so(museum):
    chart = bars(museum, "road_diesel", "roll_on")
    assert max(bar.get_width() for bar in chart.figure.axes[0].patches) == 1.5
    assert any(text.startswith("475% ▶") for text in texts(chart))


def test_what_is_within_its_limit_is_never_shown_as_all_of_it(museum):
    findings = screen(museum, "coach", "own_wheels").findings
    tight = next(f for f in findings if f.check and f.check.utilization)
    almost = replace(tight.check, demand=tight.check.capacity * 0.9999)
    chart = utilization_bars(museum, "coach", "own_wheels", (replace(tight, check=almost),))
    assert any(text.startswith("99%") for text in texts(chart)) and "99% of the limit" in chart.alt


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("draw", [bars, drawing])
def test_every_unit_can_be_drawn_on_every_kind_of_path(museum, draw, path):
    for row in museum.vehicles:
        chart = draw(museum, row.vehicle, path)
        charts.png(chart, dpi=40)
        title = chart.figure.texts[0].get_text().replace("\n", " ").removesuffix(" …")
        assert chart.alt.startswith(title) and "None" not in chart.alt and "nan" not in chart.alt


@pytest.mark.parametrize("draw", [bars, drawing])
@pytest.mark.parametrize("path", ["own_wheels", "trailer"])
def test_no_text_is_smaller_than_twelve_points_or_off_the_sheet(museum, draw, path):
    for row in museum.vehicles:
        chart = draw(museum, row.vehicle, path)
        charts.png(chart)
        sheet = chart.figure.bbox.padded(1)
        for text in chart.figure.findobj(matplotlib.text.Text):
            if text.get_text() and text.get_visible() and text.axes is not None:
                box = text.get_window_extent()
                assert text.get_size() >= 12, text.get_text()
                inside = sheet.x0 <= box.x0 and box.x1 <= sheet.x1 and sheet.y0 <= box.y0 and box.y1 <= sheet.y1
                assert inside, (row.vehicle, text.get_text())


@pytest.mark.parametrize("draw", [bars, drawing])
def test_a_kept_figure_draws_the_same_picture_as_a_new_one(museum, draw):
    figure = Figure()
    draw(museum, "caboose", "trailer", figure)
    again = draw(museum, "coach", "own_wheels", figure)
    assert again.figure is figure and charts.svg(again) == charts.svg(draw(museum, "coach", "own_wheels"))


@pytest.mark.parametrize(("path", "raised"), [("own_wheels", 0.0), ("flat_car", 0.6), ("roll_on", 1.67)])
def test_the_drawing_is_to_scale_and_the_unit_stands_as_high_as_it_travels(museum, path, raised):
    unit, piece = museum.vehicle("foundry_switcher"), museum.body("foundry_switcher")
    side, end = drawing(museum, "foundry_switcher", path).figure.axes
    long = (piece.length if path == "flat_car" else unit.length).m_as("ft")
    for axes, across in ((side, long), (end, unit.width.m_as("ft"))):
        assert axes.get_aspect() == 1
        body = max((patch for patch in axes.patches if isinstance(patch, Rectangle)), key=lambda box: box.get_height())
        assert body.get_width() == pytest.approx(across)
        assert body.get_y() == pytest.approx(piece.underside.m_as("ft") + raised)
        assert body.get_y() + body.get_height() == pytest.approx(unit.height.m_as("ft") + raised)


def test_the_side_has_a_wheel_for_every_axle_and_the_load_below_it(museum):
    chart = drawing(museum, "consolidation", "own_wheels")
    wheels = [patch for patch in chart.figure.axes[0].patches if isinstance(patch, Circle)]
    axles = museum.axles_of("consolidation")
    assert [wheel.center[0] for wheel in wheels] == [axle.position.m_as("ft") for axle in axles]
    assert [text for text in texts(chart) if text in ("18.0", "37.5", "15.5")] == ["18.0"] + ["37.5"] * 4 + ["15.5"] * 4


def test_what_is_not_measured_is_drawn_dashed_and_told(museum):
    bare = without(museum, "coach", height=None, underside=None)
    chart = drawing(bare, "coach", "own_wheels")
    boxes = [patch for patch in chart.figure.axes[0].patches if isinstance(patch, Rectangle)]
    body = max(boxes, key=lambda box: box.get_width())
    assert body.get_linestyle() == "--" and "Dashed, not measured: height, underside." in chart.alt
    assert "(not measured)" in chart.alt and "above, unknown" in chart.alt
    whole = drawing(museum, "coach", "own_wheels")
    assert all(patch.get_linestyle() != "--" for axes in whole.figure.axes for patch in axes.patches)
    unweighed = without(museum, "coach", weight=None, centre_of_gravity_offset=None)
    alt = drawing(unweighed, "coach", "own_wheels").alt
    assert "what they carry is unknown: weigh it" in alt and "Centre of gravity unknown" in alt


def test_what_lifts_and_holds_it_is_drawn_where_it_is_lifted_and_held(museum):
    lifted = drawing(museum, "road_diesel", "trailer").alt
    assert all(word in lifted for word in ("Hook and slings, lift points 35 ft", "blocking 8 in", "Held down by 44 chains"))
    assert "Hook" not in drawing(museum, "road_diesel", "own_wheels").alt
    unknown = without(museum, "road_diesel", lift_spread=None)
    assert "Slings dashed: lift points unknown" in drawing(unknown, "road_diesel", "trailer").alt


def test_a_load_stands_where_its_trailer_s_row_says(museum):
    row = next(row for row in museum.trailers if row.trailer == "nine_axle_trailer")
    side = drawing(museum, "coach", "trailer").figure.axes[0]
    body = max((patch for patch in side.patches if isinstance(patch, Rectangle)), key=lambda box: box.get_height())
    assert body.get_x() + body.get_width() / 2 == pytest.approx(row.load_place.m_as("ft"))


def span(museum, vehicle):
    weight = museum.vehicle(vehicle).weight
    return weight * 0.9, weight * 1.1


def test_a_gate_flips_at_the_very_step_at_which_it_flips(museum):
    flips = weight_flips(museum, "foundry_switcher", *span(museum, "foundry_switcher"))
    assert {"fail", "marginal", "pass"} <= {flip.after for flip in flips}
    for flip in flips:
        for pounds, expected in ((flip.weight.m_as("lb"), flip.after), (flip.weight.m_as("lb") - 100, flip.before)):
            found = screen(museum.with_weight("foundry_switcher", pounds / 2000), "foundry_switcher", flip.path).findings
            assert next(f.status for f in found if f.gate.gate == flip.gate) == expected, flip


@pytest.fixture(scope="module")
def road_diesel(museum):
    """The flips of the road diesel, and which gates were asked at each weight."""
    asked = {}

    class Counted(Checks):
        def at_weight(self, unit, ratio, gate):
            found = super().at_weight(unit, ratio, gate)
            if found is not None:
                asked.setdefault((gate.path, ratio), set()).add(gate.gate)
            return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(flipping, "Checks", Counted)
        return weight_flips(museum, "road_diesel", *span(museum, "road_diesel")), asked


def test_flips_come_lightest_first_and_lead_from_one_status_to_the_next(road_diesel):
    flips, _ = road_diesel
    assert [flip.weight for flip in flips] == sorted(flip.weight for flip in flips)
    last = {}
    for flip in flips:
        assert flip.before != flip.after
        assert last.get((flip.path, flip.gate), flip.before) == flip.before
        last[flip.path, flip.gate] = flip.after


def test_the_statuses_at_a_weight_are_those_of_a_screen_at_it(museum):
    flips = weight_flips(museum, "consolidation", *span(museum, "consolidation"))
    for pounds in (208000, 230000, 240000, 252000):
        heavier = museum.with_weight("consolidation", pounds / 2000)
        screens = {way.path: screen(heavier, "consolidation", way.path).findings for way in museum.paths}
        found = {(path, f.gate.gate): f.status for path, findings in screens.items() for f in findings}
        now = statuses_at(flips, Quantity(pounds, "lb"))
        assert now and all(found[key] == status for key, status in now.items())


def test_few_of_the_weights_are_screened_and_of_those_few_gates(museum, road_diesel):
    flips, asked = road_diesel
    weights = 720 * len(museum.paths)
    # A bisection asks about seven weights a flip: the share of the weights grows with the flips, 39 here. Gates that are
    # told apart by their wording alone add none: they are asked at the marks, as the other gates of their path are.
    assert len(flips) > 10 and len(asked) < 8 * len(flips) and len(asked) < weights / 25
    assert sum(map(len, asked.values())) / len(asked) < 5


@pytest.mark.parametrize(("low", "high", "step"), [(0, 10, 1), (10, 10, 1), (20, 10, 1), (10, 20, 0)])
def test_a_range_or_step_that_is_none_is_refused(museum, low, high, step):
    with pytest.raises(ValueError, match="must be above 0 lb"):
        weight_flips(museum, "coach", Quantity(low, "lb"), Quantity(high, "lb"), Quantity(step, "lb"))


def test_a_unit_of_unknown_weight_has_no_flips(museum):
    assert weight_flips(without(museum, "coach", weight=None), "coach", Quantity(1, "lb"), Quantity(2, "lb")) == ()


def test_a_gate_whose_driver_the_unit_has_none_of_is_left_out(museum, samples):
    gates = {v: {f.gate.gate for f in needed_findings(museum, v, "own_wheels", samples)} for v in ("coach", "boxcar")}
    assert "over_age" in gates["boxcar"] and "over_age" not in gates["coach"]
