"""From a slider move to the new picture: where the kernel's time goes, and what a thousand moves leave behind.

Processor time of the kernel is printed [ms]; the browser's part is measured in the browser tests. The rule that is
asserted is a ratio: a move costs no more than so many times what matplotlib takes to save the same chart.
"""

import gc
import io
import resource
import time

import pytest

from heritagemove import charts
from heritagemove.charts import svg
from heritagemove.panels.explorer import explore
from heritagemove.panels.state import Desk

pytestmark = pytest.mark.benchmark


@pytest.fixture(scope="module")
def panel(museum):
    return explore(Desk(museum, "foundry_switcher"))


def median_ms(work, times=15):
    found = []
    for n in range(times):
        start = time.process_time()
        work(n)
        found.append((time.process_time() - start) * 1000)
    return sorted(found)[times // 2]


def test_a_slider_move_costs_little_more_than_its_picture(panel):
    chart = charts.cost_against_date(panel.comparison)

    def to(name, values):
        def move(n):
            panel.controls[name].slider.value = values[n % 2]

        return move

    saved = median_ms(lambda _: chart.figure.savefig(io.BytesIO(), format="svg"))
    rows = [
        ("crane hours: move to picture", median_ms(to("crane_hours", (30, 31)))),
        ("axle count: move to picture", median_ms(to("axles", (6, 7)))),
        ("deadline: move to picture", median_ms(to("deadline_moved", (-30, -31)))),
        ("haul distance: move to picture", median_ms(to("haul_distance", (200, 205)), 7)),
        ("budget: move to words", median_ms(to("budget_usd", (100_000, 101_000)))),
        ("of it: draw the chart", median_ms(lambda _: charts.cost_against_date(panel.comparison, panel.chart.figure))),
        ("of it: save it as SVG", median_ms(lambda _: svg(panel.chart, small=False))),
        ("matplotlib alone: save it", saved),
    ]
    panel.reset.click()
    print("\n" + "\n".join(f"{name:36}{ms:8.0f} ms" for name, ms in rows))
    assert rows[0][1] < 6 * saved
    assert rows[4][1] < saved


def test_a_thousand_moves_leave_nothing_behind(panel):
    def move(times):
        for n in range(times):
            panel.controls["crane_hours"].slider.value = 20 + n % 50
        gc.collect()
        return len(gc.get_objects()), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    move(60)
    objects, before = move(50)
    later, after = move(1000)
    print(f"\n1,000 moves: {later - objects:+d} objects, {after - before:+.1f} MB at most")
    assert later - objects < 500 and after - before < 40
