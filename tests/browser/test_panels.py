"""Every panel of the notebooks, and every chart, with hostile texts in every text cell.

The markup of the panels is opened in a real browser.
"""

import importlib
import inspect
import pkgutil
import sys

import ipywidgets as widgets
import pytest
from matplotlib.text import Text

import heritagemove as hm
from heritagemove import charts
from heritagemove.answers.criteria import value_paths
from heritagemove.charts import (
    comparing,
    criteria,
    deciding,
    drawing,
    engineering,
    influence,
    schedule,
    spending,
)
from heritagemove.compare.comparison import compare_paths
from heritagemove.panels.all_screens import SCREENS_BY_TOPIC
from heritagemove.panels.state import Desk
from heritagemove.trials import simulation
from heritagemove.whole_site.best_set import frontier
from heritagemove.whole_site.fleet import fleet_of
from tests.desks import SiteDesk
from tests.hostile import PAYLOADS, with_texts

pytestmark = pytest.mark.browser
#: What a chart could take for a formula, a label to leave out, or two lines.
ODD = ["$x^{$ of path", "_hidden name", "two\nlines", "$\\frac{1}{$", "50 % & more", "a\ttab", "$y$"]


def panels(museum):
    """Build every screen that a notebook can show of the museum, once."""
    few = simulation.draw(museum, trials=200)
    three = museum.with_changes(vehicles=museum.vehicles[:3])
    desk = Desk(museum, "foundry_switcher", few)
    together = SiteDesk(hm.whole_site_decision(three, trials=200), "foundry_switcher")
    for topic, entries in SCREENS_BY_TOPIC.items():
        for name in entries:
            if name != "begin":  # writes a museum, of the starter's texts and not of this one's
                yield getattr(getattr(hm.show, topic), name)(together if topic in ("fleet", "funding") else desk)
    deck = hm.show.committee.pages(desk).body
    for page in range(len(deck.screens)):
        deck.go(page)
        yield deck
    diesel = Desk(museum, "road_diesel", few)
    yield from (getattr(hm.show.survey, name)(diesel) for name in SCREENS_BY_TOPIC["survey"])
    yield from (hm.show.engineering.gates(desk, path) for path in ("own_wheels", "trailer"))


def parts(panel):
    """Return every widget of a panel."""
    found, waiting = [], [getattr(panel, "widget", panel)]
    while waiting:
        entry = waiting.pop()
        found.append(entry)
        waiting += getattr(entry, "children", ())
    return found


def markup_of(panel):
    """Return the markup that the notebook puts into its page as it is."""
    shown = parts(panel)
    assert not any(getattr(part, "description_allow_html", False) for part in shown)
    return [part.value for part in shown if isinstance(part, widgets.HTML | widgets.HTMLMath)]


@pytest.fixture(scope="module")
def built(museum):
    """The markup of every panel of a hostile museum, and every chart that was drawn for it, by its function."""
    drawn, known = {}, drawing.Chart.__init__

    def noted(chart, *given, **named):
        known(chart, *given, **named)
        drawn.setdefault(sys._getframe(1).f_code.co_name, []).append(chart)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drawing.Chart, "__init__", noted)
        texts = [text for panel in panels(with_texts(museum, PAYLOADS + ODD)) for text in markup_of(panel)]
    return texts, drawn


def test_no_payload_in_a_panel_runs_asks_or_breaks_the_layout(browser, built, tmp_path, capsys):
    wicked, _ = built
    assert len(wicked) > 30
    file = tmp_path / "panels.html"
    control = "<img src=data:, onerror=hit()>"
    body = "".join(f"<section>{text}</section><hr>" for text in wicked)
    file.write_text(f'<!doctype html><meta charset="utf-8"><title>Panels</title><body>{body}</body>', encoding="utf-8")
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    page, requests, said = context.new_page(), [], []
    context.add_init_script("window.hits = 0; window.hit = () => { window.hits += 1; }")
    page.on("request", lambda request: None if request.url.startswith("data:") else requests.append(request.url))
    page.on("dialog", lambda dialog: said.append(dialog.message))
    page.goto(file.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(entry => entry.open = true)")
    page.evaluate(_EVENTS)
    page.keyboard.press("Tab")
    page.mouse.wheel(0, 20000)
    page.wait_for_timeout(300)
    count = "document.querySelectorAll('body > {}').length"
    hits, sections, marks = page.evaluate(f"[window.hits, {count.format('section')}, {count.format('hr')}]")
    strange, handlers = page.evaluate(_STRANGE), page.evaluate(_HANDLERS)
    text = " ".join(page.evaluate("document.body.textContent").split())
    text += " ".join(page.evaluate("[...document.images].map(image => image.alt).join(' ')").split())
    page.evaluate("markup => document.body.insertAdjacentHTML('beforeend', markup)", control)
    page.wait_for_timeout(300)
    assert page.evaluate("window.hits") > 0, "the control, which is not escaped, did not run: this test sees nothing"
    context.close()
    seen = sum(" ".join(payload.split()) in text for payload in PAYLOADS)
    with capsys.disabled():
        where = f"{seen} payloads of {len(PAYLOADS)} in {len(wicked)} parts of panels"
        print(f"\n{where}: {hits} run, {len(requests) - 1} requests")
    assert (hits, requests, said, handlers, strange) == (0, [file.as_uri()], [], 0, [])
    assert (sections, marks) == (len(wicked), len(wicked))
    assert seen > 100


_EVENTS = """document.querySelectorAll('*').forEach(element => ['mouseover', 'focus', 'toggle', 'animationstart'].forEach(
    name => element.dispatchEvent(new Event(name))))"""
_STRANGE = """[...document.querySelectorAll('script, iframe, object, embed, form, link, base, meta:not([charset])')].map(
    element => element.outerHTML.slice(0, 200))"""
_HANDLERS = """[...document.querySelectorAll('*')].filter(
    element => [...element.attributes].some(attribute => attribute.name.startsWith('on'))).length"""


def test_no_name_breaks_a_chart(museum, built):
    """Dollar signs, a leading underscore and a new line, in every chart function there is."""
    drawn, own = {name: list(found) for name, found in built[1].items()}, {}
    odd = with_texts(museum, ODD)
    comparison = compare_paths(odd, "foundry_switcher", {}, simulation.draw(odd, trials=200))
    path = comparison.choice
    for draw in (comparing.cost_against_date, comparing.chances, deciding.order_dates):
        own.setdefault(draw.__name__, []).append(draw(comparison))
    money = (charts.chance_by_budget, charts.joint_chances, spending.money_by_month)
    of_path = (*money, schedule.task_bars)
    for draw in (*of_path, charts.cost_by_phase):
        own.setdefault(draw.__name__, []).append(draw(comparison, path))
    own.setdefault("tornado", []).append(influence.tornado(comparison, path, "cost"))
    own.setdefault("weighted_values", []).append(criteria.weighted_values(value_paths(comparison)))
    own.setdefault("for_projector", []).append(charts.for_projector(comparing.chances(comparison)))
    plan = frontier(fleet_of(odd.with_changes(vehicles=odd.vehicles[:2]), trials=200))
    own.setdefault("next_money", []).append(importlib.import_module("heritagemove.charts.fleet").next_money(plan))
    found = comparison.path("trailer").findings
    own.setdefault("utilization_bars", []).append(engineering.utilization_bars(odd, "caboose", "trailer", found))
    names = [entry.name for entry in pkgutil.iter_modules(charts.__path__)]
    modules = [importlib.import_module(f"heritagemove.charts.{name}") for name in names]
    functions = [pair for module in modules for pair in inspect.getmembers(module, inspect.isfunction)]
    public = {name for name, function in functions if inspect.signature(function).return_annotation == "Chart"}
    assert {name for name in public if not name.startswith("_")} <= drawn.keys() | own.keys()
    for name, (chart, *_) in own.items():
        assert charts.svg(chart).startswith(b"<svg"), name
    for name, pictures in [*drawn.items(), *own.items()]:
        for chart in pictures:
            assert chart.alt.strip(), name
            assert not any(text.get_parse_math() for text in chart.figure.findobj(Text) if text.get_text()), name
            legends = [text.get_text() for legend in chart.figure.findobj(_is_legend) for text in legend.get_texts()]
            assert all(legends), name


def _is_legend(artist):
    return type(artist).__name__ == "Legend"
