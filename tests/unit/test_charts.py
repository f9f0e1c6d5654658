"""Charts: what a mark looks like, where its number stands, and that the same results give the same bytes."""

import itertools
import re
from dataclasses import replace

import matplotlib
import pytest
from matplotlib.figure import Figure

from heritagemove import charts
from heritagemove.answers.money_tables import PHASE_TITLES
from heritagemove.charts.comparing import finding
from heritagemove.charts.marks import colour_of, numbered_name, shape_of
from heritagemove.charts.one_path import mean_by_phase
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.rows.cost_lines import CostLine


@pytest.fixture(scope="module")
def comparison(museum):
    settings = museum.scenario.simulation.model_copy(update={"trials": 400})
    return compare_paths(museum.with_changes(simulation=settings), "foundry_switcher")


@pytest.fixture(scope="module")
def drawn(comparison):
    path = comparison.choice or comparison.paths[0].path
    return {
        "cost_against_date": charts.cost_against_date(comparison),
        "chances": charts.chances(comparison),
        "cost_by_phase": charts.cost_by_phase(comparison, path),
        "task_bars": charts.task_bars(comparison, path),
    }


def changed(comparison, path, **fields):
    """The comparison with one path's result changed."""
    return replace(comparison, paths=tuple(replace(r, **fields) if r.path == path else r for r in comparison.paths))


def words(chart):
    return " ".join(text.get_text() for text in chart.figure.findobj(matplotlib.text.Text))


@pytest.mark.parametrize("name", ["cost_against_date", "chances", "cost_by_phase", "task_bars"])
def test_the_same_results_give_the_same_bytes_and_ask_for_nothing_outside(drawn, name):
    first = charts.svg(drawn[name])
    assert first == charts.svg(drawn[name])
    assert b"<script" not in first and b"<image" not in first
    assert not re.findall(rb'href="(?!#)', first)
    assert charts.png(drawn[name], dpi=40).startswith(b"\x89PNG")


@pytest.mark.parametrize("name", ["cost_against_date", "chances", "cost_by_phase", "task_bars"])
def test_no_text_is_smaller_than_twelve_points_or_off_the_sheet(drawn, name):
    figure = drawn[name].figure
    charts.png(drawn[name])
    sheet = figure.bbox.padded(1)
    for text in figure.findobj(matplotlib.text.Text):
        if not text.get_text() or not text.get_visible():
            continue
        assert text.get_size() >= 12, text.get_text()
        box = text.get_window_extent()
        inside = sheet.x0 <= box.x0 and box.x1 <= sheet.x1 and sheet.y0 <= box.y0 and box.y1 <= sheet.y1
        assert inside or outside_its_axis(text), text.get_text()


def outside_its_axis(text):
    """A tick label beyond the axis limits is in the tree, but is never drawn."""
    return text.axes is None and text.get_text().replace(",", "").isdigit()


def test_a_kept_figure_draws_the_same_picture_as_a_new_one(comparison):
    figure = Figure()
    charts.chances(comparison, figure)
    again = charts.cost_against_date(comparison, figure)
    assert again.figure is figure
    assert charts.svg(again) == charts.svg(charts.cost_against_date(comparison))


def test_the_readers_own_matplotlib_settings_change_nothing(comparison):
    plain = charts.svg(charts.cost_against_date(comparison))
    with matplotlib.rc_context({"font.size": 30, "axes.facecolor": "black", "svg.fonttype": "none"}):
        assert charts.svg(charts.cost_against_date(comparison)) == plain


def test_the_title_is_the_finding_and_the_alt_text_names_every_path(comparison, drawn):
    chart = drawn["cost_against_date"]
    best = comparison.path(comparison.choice)
    assert comparison.decision.chance_if_decided_then >= comparison.museum.scenario.simulation.confidence
    assert finding(comparison).startswith(f"{numbered_name(best)} gets ")
    doubtful = comparison.with_decision(replace(comparison.decision, chance_if_decided_then=0.3))
    assert finding(doubtful).startswith(f"{numbered_name(best)} has the best chance to get ")
    assert ": 30% likely, " in finding(doubtful)
    assert chart.alt.startswith(finding(comparison))
    for result in comparison.paths:
        assert f"Path {result.number}, {result.title}: {result.status}" in chart.alt
        assert f"Path {result.number}, {result.title}" in drawn["chances"].alt


def test_without_a_choice_the_title_says_that_no_path_does_it(comparison):
    nothing = comparison.with_decision(replace(comparison.decision, verdict="blocked", path=None))
    assert finding(nothing).endswith(": blocked: no path that saves it is open")
    assert charts.svg(charts.cost_against_date(nothing))


def test_a_blocked_path_stays_in_the_picture(comparison):
    path = comparison.choice
    open_to_it = charts.svg(charts.cost_against_date(comparison))
    blocked = charts.cost_against_date(changed(comparison, path, status="blocked", chance_of_gates=0.0))
    assert charts.svg(blocked) != open_to_it
    assert f"{comparison.path(path).number} choice" in words(blocked)


def test_a_path_without_cost_or_date_is_listed_and_said_to_have_none(comparison):
    path = next(r.path for r in comparison.paths if r.path != comparison.choice)
    chart = charts.cost_against_date(changed(comparison, path, cost=None, status="unknown"))
    number = comparison.path(path).number
    assert "(no cost)" in words(chart)
    assert f"Path {number}, {comparison.path(path).title}: unknown, cost unknown." in chart.alt


def test_a_comparison_in_which_nothing_is_priced_can_still_be_drawn(comparison):
    unknown = replace(comparison.decision, verdict="not yet", path=None, fallback=None)
    bare = replace(
        comparison.with_decision(unknown),
        paths=tuple(replace(r, cost=None, off_site=None, off_site_days=None, status="unknown") for r in comparison.paths),
    )
    assert charts.svg(charts.cost_against_date(bare))
    assert charts.svg(charts.chances(bare))


def test_a_hostile_name_is_drawn_as_it_is_written(comparison):
    name = r"$\frac{$ <script>alert(1)</script> & _x"
    chart = charts.cost_against_date(changed(comparison, comparison.choice, title=name))
    assert name in chart.alt
    assert b"<script" not in charts.svg(chart)
    path = comparison.choice
    for chart in (charts.chances, lambda c: charts.cost_by_phase(c, path), lambda c: charts.task_bars(c, path)):
        assert name in chart(changed(comparison, path, title=name)).alt


def test_no_two_paths_share_shape_and_colour():
    looks = [(shape_of(number), colour_of(number)) for number in range(1, 23)]
    assert len(set(looks)) == len(looks)
    assert len({shape_of(number) for number in range(1, 12)}) == 11


def test_each_chip_is_its_own_picture_and_hidden_from_readers_of_text():
    chips = [charts.chip(number) for number in range(1, 12)]
    assert len(set(chips)) == 11
    assert all('aria-hidden="true"' in chip and "<polygon" in chip for chip in chips)


@pytest.mark.parametrize(
    ("status", "in_time", "gates", "looks"),
    [
        ("clear", 0.9, 0.8, "full"),
        ("clear", 0.9, 0.79, "half"),
        ("caution", 0.5, 0.9, "half"),
        ("caution", 0.49, 1.0, "hollow"),
        ("clear", None, 1.0, "hollow"),
        ("unknown", 0.9, None, "unknown"),
        ("blocked", 1.0, 0.0, "crossed"),
        ("blocked", None, None, "crossed"),
    ],
)
def test_a_mark_shows_the_lower_of_the_two_chances(comparison, status, in_time, gates, looks):
    result = replace(comparison.paths[0], status=status, chance_by_deadline=in_time, chance_of_gates=gates)
    assert charts.likelihood(result, 0.8) == looks


def boxes(centres, sizes):
    return [(x - w / 2, y - h / 2, x + w / 2, y + h / 2) for (x, y), (w, h) in zip(centres, sizes, strict=True)]


def overlap(one, other):
    apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    return not apart


@pytest.mark.parametrize(
    "marks",
    [
        [(100 + 14 * i, 150) for i in range(10)],
        [(200, 100 + 9 * i) for i in range(10)],
        [(200 + 10 * (i % 3), 150 + 10 * (i // 3)) for i in range(9)],
        [(200, 150)] * 4,
        [(2, 2), (398, 298), (2, 298), (398, 2)],
    ],
    ids=["in a row", "in a column", "in a heap", "in one place", "in the corners"],
)
def test_labels_cover_neither_each_other_nor_a_mark_nor_leave_the_page(marks):
    sizes = [(20.0, 16.0)] * len(marks)
    placed = boxes(charts.place_labels(marks, sizes, 8.0, (0, 0, 400, 300)), sizes)
    points = boxes(marks, [(16.0, 16.0)] * len(marks))
    assert not any(overlap(one, other) for one, other in itertools.combinations(placed, 2))
    assert not any(overlap(label, point) for label in placed for point in points)
    assert all(x0 >= 0 and y0 >= 0 and x1 <= 400 and y1 <= 300 for x0, y0, x1, y1 in placed)


def test_a_label_stands_where_it_cannot_be_mistaken_for_the_next_marks():
    (x, y), _ = charts.place_labels([(100, 100), (126, 118)], [(20.0, 16.0)] * 2, 8.0, (0, 0, 400, 300))
    assert (x, y) == (118.0, 84.0)


def test_every_phase_of_the_tables_has_its_words():
    allowed = next(entry.text for entry in CostLine.model_fields["phase"].metadata if hasattr(entry, "may_be_blank"))
    assert all(phase in allowed for phase in PHASE_TITLES)
    assert set(re.findall(r"[a-z]+", allowed)) - {"one", "of", "or"} == set(PHASE_TITLES)


def test_the_phases_of_every_path_add_up_to_its_mean_cost(comparison):
    for result in comparison.paths:
        if result.cost:
            assert sum(mean_by_phase(result).values()) == pytest.approx(result.cost.mean, abs=6)


def test_every_path_has_its_phase_and_task_chart(comparison):
    for result in comparison.paths:
        phases, tasks = charts.cost_by_phase(comparison, result.path), charts.task_bars(comparison, result.path)
        name = f"{numbered_name(result)}: "
        assert all(chart.alt.startswith(name) and result.title in chart.alt for chart in (phases, tasks))
        for row in comparison.museum.of_path("tasks", result.path):
            assert row.title in tasks.alt


def test_a_screen_gets_text_and_a_page_gets_outlines(comparison):
    chart = charts.cost_against_date(comparison)
    screen, page = charts.svg(chart, small=False), charts.svg(chart)
    assert b"<text" in screen and b"'DejaVu Sans', Verdana, sans-serif" in screen
    assert b"<text" not in page
