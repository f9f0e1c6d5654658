"""The read-only page as a committee member opens it: from a file, in a real browser, with no network."""

import datetime as dt

import pytest

from heritagemove.comparison import compare
from heritagemove.report import render

pytestmark = pytest.mark.browser

WIDTHS = {"projector": (1280, 720), "telephone": (360, 740)}


@pytest.fixture(scope="module")
def address(museum, samples, tmp_path_factory):
    """The page of the foundry switcher as a file."""
    file = tmp_path_factory.mktemp("page") / "page.html"
    file.write_text(render(compare(museum, "foundry_switcher", {}, samples), dt.date(2027, 2, 1)), encoding="utf-8")
    return file.as_uri()


@pytest.fixture(scope="module")
def opened(browser, address):
    """Open the page at a width; return it with every other request and every console line."""
    contexts = []

    def open_at(width, height, **options):
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page, requests, said = context.new_page(), [], []

        def answer(route):
            if route.request.url == address:
                route.continue_()
            else:
                requests.append(route.request.url)
                route.abort()

        context.route(lambda url: not url.startswith("data:"), answer)
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(address)
        return page, requests, said

    yield open_at
    for context in contexts:
        context.close()


@pytest.fixture(scope="module", params=WIDTHS)
def seen(request, opened):
    return opened(*WIDTHS[request.param])


def test_it_asks_for_nothing_and_the_console_is_empty(seen):
    _, requests, said = seen
    assert (requests, said) == ([], [])


def test_the_page_does_not_scroll_sideways(seen):
    page, _, _ = seen
    page.evaluate("window.scrollTo(500, 0)")
    assert page.evaluate("window.scrollX") == 0
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_every_picture_is_decoded_and_has_a_text(seen):
    page, _, _ = seen
    pictures = page.locator("img")
    assert pictures.count() == 9
    for index in range(pictures.count()):
        picture = pictures.nth(index)
        assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
        assert picture.get_attribute("alt").strip()


def test_every_wide_table_can_be_scrolled_by_key(seen):
    page, _, _ = seen
    outside = page.locator("table").evaluate_all(
        """tables => tables.filter(table => table.getBoundingClientRect().width > innerWidth
           && !(table.parentElement.tabIndex === 0 && getComputedStyle(table.parentElement).overflowX === 'auto')).length"""
    )
    assert outside == 0


def test_the_decision_its_scope_and_the_whole_main_chart_are_on_the_first_screen(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    for selector in (".decision", ".scope", "img >> nth=0"):
        box = page.locator(selector).bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= 720, selector
    assert page.locator("img >> nth=0").bounding_box()["width"] >= 800


def test_no_column_of_the_table_of_paths_is_cut_on_a_projector(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    assert page.locator(".paths").evaluate("table => table.parentElement.scrollWidth <= table.parentElement.clientWidth")


def test_a_dark_screen_changes_the_ground_and_keeps_the_charts_on_white(opened):
    page, _, _ = opened(1280, 720, color_scheme="dark")
    colours = [page.locator(where).first.evaluate("e => getComputedStyle(e).backgroundColor") for where in ("body", "img")]
    assert colours == ["rgb(22, 22, 22)", "rgb(255, 255, 255)"]


def test_it_prints_on_more_than_one_page_in_landscape(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    printed = page.pdf(prefer_css_page_size=True)
    assert printed.startswith(b"%PDF-")
    assert printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page ") > 10
    assert b"/MediaBox [0 0 84" in printed


def test_print_keeps_rows_whole_and_repeats_the_heads_of_tables(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    page.emulate_media(media="print")
    styles = "e => [getComputedStyle(e).breakInside, getComputedStyle(e).display]"
    assert page.locator("tbody tr").first.evaluate(styles)[0] == "avoid"
    assert page.locator("thead").first.evaluate(styles)[1] == "table-header-group"
    assert page.locator("nav").evaluate(styles)[1] == "none"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_axe_finds_nothing_serious(opened, width, scheme):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    # The checker is a script, which the page's own policy would refuse.
    page, _, _ = opened(*WIDTHS[width], color_scheme=scheme, bypass_csp=True)
    found = axe.Axe().run(page).response["violations"]
    assert [(entry["id"], entry["nodes"][0]["html"]) for entry in found if entry["impact"] in ("serious", "critical")] == []
