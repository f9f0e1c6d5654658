"""No label of a chart stands over another or off the sheet: told by the boxes of the texts that are drawn."""

import itertools

import matplotlib
import pytest
from matplotlib.text import Text

from heritagemove import charts
from heritagemove.charts.all_charts import CHARTS_BY_TOPIC
from heritagemove.charts.style_sheet import STYLE
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.units import PlannerError
from tests.conftest import DATA

#: Charts of one comparison, by topic and name; and of these what the presentation shows.
NAMES = [
    (topic, name)
    for topic, entries in CHARTS_BY_TOPIC.items()
    for name, (held, _) in entries.items()
    if held == "comparison"
]
#: A curve over distances is answered for each of them.
SLOW = ("break_even", "over")
ON_THE_WALL = [
    ("decision", "at_a_glance"), ("decision", "cost_against_date"), ("decision", "budget"), ("decision", "refused"),
    ("engineering", "unit"), ("engineering", "way"), ("money", "what_moves_cost"), ("schedule", "meetings"),
    ("worth", "criteria"),
]  # fmt: skip
#: Two boxes may share so many pixels across and up: the air around a letter.
ACROSS, UP = 1.5, 2.5


def drawn_texts(chart, monkeypatch):
    """Return the texts that are drawn, with their boxes [pixel]: ticks beyond the ends of an axis are not."""
    seen, real = {}, Text.draw

    def noted(text, renderer):
        if text.get_visible() and text.get_text().strip():
            seen[id(text)] = text
        return real(text, renderer)

    with monkeypatch.context() as patched, matplotlib.rc_context(STYLE):
        patched.setattr(Text, "draw", noted)
        chart.figure.draw_without_rendering()
        return [(text.get_text(), Text.get_window_extent(text)) for text in seen.values()]


def clashes(chart, monkeypatch):
    boxes, sheet, found = drawn_texts(chart, monkeypatch), chart.figure.bbox.padded(1), []
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        if min(a.x1, b.x1) - max(a.x0, b.x0) > ACROSS and min(a.y1, b.y1) - max(a.y0, b.y0) > UP:
            found.append((one, other))
    found += [(text, "off the sheet") for text, box in boxes if not (sheet.x0 <= box.x0 and box.x1 <= sheet.x1)]
    return found + [(text, "off the sheet") for text, box in boxes if not (sheet.y0 <= box.y0 and box.y1 <= sheet.y1)]


@pytest.mark.parametrize("key", [key for key in NAMES if key != SLOW], ids=".".join)
def test_no_label_stands_over_another_or_off_the_sheet(switcher, key, monkeypatch):
    draw_chart = CHARTS_BY_TOPIC[key[0]][key[1]][1]
    assert clashes(draw_chart(switcher), monkeypatch) == []
    if key in ON_THE_WALL:
        assert clashes(charts.for_projector(draw_chart(switcher)), monkeypatch) == []


def test_a_label_over_another_is_found(switcher, monkeypatch):
    chart = charts.budget_bars(switcher)
    chart.figure.text(0.1, chart.figure.texts[0].get_position()[1], "in the way", va="top")
    assert ("in the way" in str(clashes(chart, monkeypatch))) and clashes(charts.budget_bars(switcher), monkeypatch) == []


@pytest.mark.long
@pytest.mark.parametrize("folder", ["tamber_river", "elsewhere/melderbach"])
def test_no_label_of_any_unit_or_path_stands_over_another(folder, monkeypatch):
    museum = load_museum(DATA / folder)
    samples, found = draw(museum, trials=300), []
    for unit in museum.vehicles:
        comparison = compare_paths(museum, unit.vehicle, None, samples)
        every = [row.path for row in museum.paths]
        priced = [result.path for result in comparison.paths if result.cost and result.branch]
        able = {"engineering": every, "schedule": every, "money": priced}
        for topic, name in NAMES:
            draw_chart = CHARTS_BY_TOPIC[topic][name][1]
            of_each = topic in able and name != "meetings"
            for path in able[topic] if of_each else [None]:
                try:
                    chart = draw_chart(comparison, path) if path else draw_chart(comparison)
                except PlannerError:
                    continue  # what it is drawn from is not entered, and it says so
                said = unit.vehicle, topic, name, path
                found += [(*said, clash) for clash in clashes(chart, monkeypatch)]
                if (topic, name) in ON_THE_WALL and path in (None, comparison.choice):
                    found += [(*said, "wall", clash) for clash in clashes(charts.for_projector(chart), monkeypatch)]
    assert found == []
