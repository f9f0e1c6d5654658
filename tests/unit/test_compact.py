"""A compact SVG is the same picture in fewer bytes."""

import re
import xml.etree.ElementTree as ElementTree

import pytest

from heritagemove import charts
from heritagemove.charts.compact import compact
from heritagemove.compare.comparison import compare_paths


@pytest.fixture(scope="module")
def drawn(museum, samples):
    compared = compare_paths(museum, "foundry_switcher", None, samples)
    return [charts.chances(compared), charts.cost_by_phase(compared, "trailer")]


def plain(chart):
    import io

    out = io.BytesIO()
    chart.figure.savefig(out, format="svg", metadata={"Date": None})
    return out.getvalue().decode()


def marks(svg):
    """Every drawn element by name, in order; groups and definitions draw nothing of their own."""
    root = ElementTree.fromstring(svg)
    names = [element.tag.rpartition("}")[2] for element in root.iter()]
    return [name for name in names if name in ("path", "use", "rect", "circle", "text", "image")]


def test_it_draws_the_same_marks_in_the_same_order_in_fewer_bytes(drawn):
    for chart in drawn:
        before = plain(chart)
        after = compact(before)
        assert marks(after) == marks(before)
        assert len(after) < 0.65 * len(before)


def test_every_name_it_refers_to_is_there_once(drawn):
    for chart in drawn:
        text = charts.svg(chart).decode()
        named = re.findall(r'\bid="([^"]+)"', text)
        assert len(named) == len(set(named))
        assert set(re.findall(r'(?:href="#|url\(#)([^")]+)', text)) <= set(named)


def test_no_point_of_a_path_moves_by_more_than_a_hundredth(drawn):
    for chart in drawn:
        before, after = (_axes_paths(svg) for svg in (plain(chart), compact(plain(chart))))
        assert len(before) == len(after) > 10
        for left, right in zip(before, after, strict=True):
            assert len(left) == len(right)
            assert all(abs(a - b) <= 0.0051 for a, b in zip(left, right, strict=True))


def _axes_paths(svg):
    """Numbers of every path but the outlines of letters."""
    paths = [element for element in ElementTree.fromstring(svg).iter() if element.tag.endswith("path")]
    paths = [path for path in paths if "scale" not in path.get("transform", "")]
    return [[float(number) for number in re.findall(r"-?\d*\.?\d+", path.get("d"))] for path in paths]


def test_an_empty_group_and_a_group_that_sets_nothing_go_and_the_rest_nests():
    svg = '<svg><g id="a"/><g id="b"><g style="x"><path d="M 1 2"/></g></g></svg>'
    assert compact(svg) == '<svg><g style="x"><path d="M1,2"/></g></svg>'
