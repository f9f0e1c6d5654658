"""The read-only page: what stands on it, that nothing on it can act, and that it is the same twice."""

import dataclasses
import datetime as dt
import itertools
import json
import re
import shlex
import subprocess
import sys
import time
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from reading import words

from heritagemove.__main__ import main
from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import render, write_report
from heritagemove.hand_over.page.plain import sentences
from heritagemove.trials.simulation import draw
from heritagemove.units.words import show_date

MADE_ON = dt.date(2027, 2, 1)
PAYLOADS = json.loads((Path(__file__).parents[1] / "payloads.json").read_text())
#: Columns that a page shows as text; ids and choices cannot hold a payload.
COLUMNS = {
    "vehicles": ("name", "brakes", "draft_gear", "hazards", "source"),
    "survey": ("source",),
    "paths": ("title", "summary", "end_state", "source"),
    "tasks": ("title", "who", "hands_over", "source"),
    "cost_lines": ("title", "source"),
    "rates": ("title", "source"),
    "risks": ("title", "mitigation", "owner", "source"),
    "gates": ("title", "rule", "evidence", "signer", "source"),
    "limits": ("title", "source", "confirm_with"),
    "cautions": ("topic", "text", "source"),
    "legs": ("title", "source"),
    "bridges": ("title", "source"),
}


def hostile_museum(museum):
    """The demo with a payload in every text cell that a page shows, each in turn."""
    payloads = itertools.cycle(PAYLOADS)

    def filled(row, columns):
        return row.model_copy(update={column: next(payloads) for column in columns if hasattr(row, column)})

    tables = {name: [filled(row, columns) for row in getattr(museum, name)] for name, columns in COLUMNS.items()}
    names = {name: next(payloads) for name in ("name", "place", "site", "owner")}
    return dataclasses.replace(museum.with_changes(**names, **tables), folder=PAYLOADS[0])


VOID = {"meta", "img", "br", "hr", "link", "input"}


class Page(HTMLParser):
    """The elements of a page with their attributes and text, and whether they nest."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.open, self.texts, self.unclosed = [], [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.unclosed.append(tag)

    def handle_data(self, data):
        self.texts.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.texts).split())

    def every(self, tag):
        return [attributes for name, attributes in self.elements if name == tag]


@pytest.fixture(scope="module")
def few(museum):
    return draw(museum, trials=500)


@pytest.fixture(scope="module")
def comparison(museum, few):
    return compare_paths(museum, "foundry_switcher", {"crane_hours": 20, "haul_distance": "193.12128 km"}, few)


@pytest.fixture(scope="module")
def text(comparison):
    return render(comparison, MADE_ON)


@pytest.fixture(scope="module")
def page(text):
    return Page(text)


def test_the_page_is_well_formed_with_one_title_and_one_first_heading(text, page):
    assert text.startswith('<!DOCTYPE html>\n<html lang="en">')
    assert (page.open, page.unclosed) == ([], [])
    assert len(page.every("h1")) == len(page.every("title")) == len(page.every("main")) == 1
    names = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(names) == len(set(names))
    assert {link["href"][1:] for link in page.every("a")} <= set(names)


def test_nothing_on_the_page_can_act_or_load(text, page):
    policy = next(meta for meta in page.every("meta") if meta.get("http-equiv") == "Content-Security-Policy")
    assert policy["content"] == "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    forbidden = {"script", "iframe", "object", "embed", "link", "form", "base", "input", "button", "audio", "video"}
    assert {tag for tag, _ in page.elements}.isdisjoint(forbidden)
    for tag, attributes in page.elements:
        assert not any(name.startswith("on") for name in attributes), tag
        for name in ("src", "href", "action", "srcset", "data", "poster"):
            held = attributes.get(name, "#")
            drawn = held.startswith(("#", "data:image/svg+xml,%3Csvg%20"))
            assert drawn or re.fullmatch(r"data:image/jpeg;base64,[A-Za-z0-9+/=]+", held), (tag, name)
    inside = text.replace("xmlns='http://www.w3.org/2000/svg'", "").lower()
    assert not re.search(r"https?://|@import|javascript:", inside)
    assert not re.search(r"url\((?!%23)", inside)  # within a picture, only its own patterns


def test_every_picture_has_a_size_and_a_text_that_begins_with_its_finding(page):
    pictures = [picture for picture in page.every("img") if "svg" in picture["src"][:20]]
    photographs = [picture for picture in page.every("img") if picture not in pictures]
    assert (len(pictures), len(photographs)) == (5, 2)
    for picture in pictures:
        assert len(picture["alt"]) > 60
        assert int(picture["width"]) > 500 and int(picture["height"]) > 200
    assert all(photograph["alt"] and int(photograph["width"]) > 200 for photograph in photographs)


def test_tables_that_begin_at_once_and_not_at_the_meeting_say_so(text):
    for start in ("Every path", "Tasks of path", "Money by month"):
        captions = re.findall(rf"<caption>\s*({start}[^<]*)", text)
        assert captions and all("begun at once" in caption for caption in captions)


def test_every_table_has_a_caption_and_headings_for_columns_and_rows(text, page):
    assert text.count("<table") == text.count("<caption>") == text.count("<thead>") > 10
    assert all(cell.get("scope") in ("col", "row", "colgroup") for cell in page.every("th"))


def test_the_decision_the_cautions_and_the_figures_of_every_path_stand_on_it(page, comparison):
    assert all(line in page.text for line in sentences(comparison.sentence))
    for caution in comparison.museum.cautions:
        assert caution.text in page.text
    for result in comparison.paths:
        assert result.title in page.text
        assert f"{result.cost.p80:,.0f}" in page.text
        assert all(reason in page.text for reason in result.reasons[:1])
        assert result.off_site is None or show_date(result.off_site.p80) in page.text


def test_the_scope_stands_beside_the_decision_before_anything_else(page, comparison):
    scope = next(row.text for row in comparison.museum.cautions if "every" in row.screens)
    motion = page.text.index("That the museum release")
    assert motion < page.text.index(scope) < page.text.index(sentences(comparison.sentence)[0])
    assert page.text.index("P80 is passed one time in five") < page.text.index("Cost, P80")


def test_the_page_opens_with_the_paper_in_at_most_350_words(text):
    opening = text[text.index("<main>") :].partition("</section>")[0]
    paper = Page(opening[opening.index('<section id="paper"') :])
    assert len(paper.every("section")) == len(paper.every("h1")) == len(paper.every("img")) == 1
    assert 150 < words(paper.text) <= 350


def test_the_decision_in_full_is_one_sentence_a_line(text, comparison):
    listed = text[text.index('<ul class="sentences columns">') :].partition("</ul>")[0]
    lines = [unescape(line) for line in re.findall(r"<li>(.*)</li>", listed)]
    assert lines == sentences(comparison.sentence) and len(lines) > 5


@pytest.fixture(scope="module")
def full(comparison):
    return render(comparison, MADE_ON, full=True)


@pytest.mark.parametrize("role", ["choice", "fallback"])
def test_the_cost_lines_of_a_path_add_up_with_its_risks_to_its_mean(full, comparison, role):
    result = comparison.path(getattr(comparison, role))

    def column(caption, which):
        table = full[full.index(f"<caption>{caption}") :].partition("</table>")[0]
        cells = [
            re.findall(r'<td data-is="[^"]*\[USD\]" class="number">([-\d,]+)</td>', row) for row in table.split("<tr")[2:]
        ]
        return [float(row[which].replace(",", "")) for row in cells]

    lines = column(f"Cost lines of path {result.number}:", -1)
    risks = column(f"What can go wrong on path {result.number},", 0)
    late = float((result.trials.holdover_usd + result.trials.loss_usd).mean())
    assert len(lines) > 15 and len(risks) > 4
    assert sum(lines) + sum(risks) + late == pytest.approx(result.cost.mean, abs=len(lines) + len(risks))
    assert f"mean {result.cost.mean:,.0f} USD, P50 {result.cost.p50:,.0f}, P80 {result.cost.p80:,.0f}" in Page(full).text


def test_every_figure_leads_back_to_a_file_a_row_a_basis_and_a_source(full, text, comparison):
    rows = {f"{table}.csv row {row.row_number}" for table in ("rates", "quantities", "tasks", "risks", "cost_lines")
            for row in getattr(comparison.museum, table)}  # fmt: skip
    inputs = full[full.index("<caption>Every input") :].partition("</table>")[0].split("<tr")[2:]
    assert len(inputs) > 40 and f"Of the {len(inputs)} inputs" in full
    for row in inputs:
        *_, where, basis = map(unescape, re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row))
        assert where in rows and re.match(r"(quote|published|measured|judgment): .", basis)
    lines = text[text.index("<caption>Cost lines") :].partition("</table>")[0].split("<tr")[2:]
    for row in lines:
        line, _, _, _, price, _ = map(unescape, re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row))
        assert re.search(r"\(([^()]*)\)$", line).group(1) in rows
        assert all(part.partition(",")[0] in rows for part in re.findall(r"rates\.csv row \d+", price)) and ": " in price


def test_what_is_taken_out_and_put_under_stands_in_lines_down_to_the_axle(text, comparison):
    table = text[text.index("<caption>How the load of path") :].partition("</table>")[0]
    weights = [float(w.replace(",", "")) for w in re.findall(r">(-?[\d,]+) lb<", table)]
    assert "4 motors" in table and "fuel, oil and water" in table
    assert weights[0] + weights[1] + weights[2] == weights[3] and weights[4] < weights[3]


def test_the_full_annex_holds_the_gates_limits_and_inputs_that_the_short_one_leaves_out(full, text, comparison):
    other = next(r for r in comparison.paths if r.findings and r.path not in (comparison.choice, comparison.fallback))
    assert "Gates of the other paths" in full and "Gates of the other paths" not in text
    assert comparison.museum.limits[0].title in unescape(full) and "Published limits and planning" not in text
    assert all(unescape(full).count(finding.gate.title) for finding in other.findings) and len(full) > 1.3 * len(text)


def test_the_page_says_how_it_was_made_and_the_command_gives_the_same_figures(page, comparison, capsys, monkeypatch):
    for shown in (comparison.base.digest(), "seed 20270301; 500 trials", "1 Feb 2027", "heritagemove 0.",
                  "crane hours: 20; haul distance: 120 miles"):  # fmt: skip
        assert shown in page.text
    command = re.search(r"python -m heritagemove (report .*?) --out page.html", page.text).group(1)
    words = shlex.split(command)
    monkeypatch.chdir(Path(comparison.base.folder).parent)  # the page names no place on this machine
    assert main(["compare", *words[1:], "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(comparison.as_json()))


def test_hostile_text_in_every_text_column_stays_text(museum, few):
    wicked = hostile_museum(museum)
    plain = Page(render(compare_paths(museum, "caboose", {}, few), MADE_ON))
    page = Page(render(compare_paths(wicked, "caboose", {}, few), MADE_ON))
    assert sum(" ".join(payload.split()) in page.text for payload in PAYLOADS) > 100
    assert (page.open, page.unclosed) == ([], [])
    assert {tag for tag, _ in page.elements} == {tag for tag, _ in plain.elements}
    charts = [[image for image in each.every("img") if "svg" in image["src"][:20]] for each in (page, plain)]
    assert len(charts[0]) == len(charts[1]) == len(page.every("img"))  # a payload is no photograph
    assert not any(name.startswith("on") for _, attributes in page.elements for name in attributes)


def test_a_page_without_a_way_out_says_so_and_shows_what_is_left(museum, few):
    """Where every way out is refused before it begins, the page still renders."""
    lost = museum.with_changes(deadline=museum.scenario.start, forced_scrap=museum.scenario.start)
    comparison = compare_paths(lost, "consolidation", {}, few)
    assert comparison.choice is None
    page = Page(render(comparison, MADE_ON))
    assert "too late. The quickest way out is to " in page.text
    assert "The choice, path" not in page.text
    assert "The fallback, path 11: Decline" in page.text
    assert "what the board must know first" in page.text and "That the museum ask the owner for more time" in page.text


def test_the_same_results_give_the_same_bytes(museum, few, text, comparison):
    again = compare_paths(museum, "foundry_switcher", dict(comparison.settings), draw(museum, trials=500))
    assert render(again, MADE_ON) == text
    assert render(again, dt.date(2027, 2, 2)) == text.replace("1 Feb 2027", "2 Feb 2027")


def test_a_page_is_written_whole_for_everyone_to_read(comparison, tmp_path):
    written = write_report(comparison, tmp_path / "page.html")
    assert written == tmp_path / "page.html"
    assert written.read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert written.stat().st_mode & 0o777 == 0o644
    with pytest.raises(ValueError, match="exists; allowed: a new file"):
        write_report(comparison, written)
    with pytest.raises(ValueError, match="which is a folder; allowed: a file"):
        write_report(comparison, tmp_path, replace=True)


def test_a_page_takes_at_most_three_times_what_its_answer_takes(museum, samples, text):
    """Processor time in one run: what is drawn twice, or simulated again, shows here whatever else the machine does."""

    def seconds(work):
        begun = time.process_time()
        made = work()
        return time.process_time() - begun, made

    def answered():
        found = compare_paths(museum, "foundry_switcher", {}, samples)
        return found.decision and found

    assert text  # a page was drawn before: what is imported and read once is not counted
    (taken, comparison), again = seconds(answered), seconds(answered)  # the better of two: a neighbour slows either
    taken = min(taken, again[0])
    drawn = min(seconds(lambda: render(comparison, MADE_ON))[0] for _ in range(2))
    assert drawn < 3 * taken, (drawn, taken)


def test_a_page_fetches_no_tables_no_statistics_and_no_second_way_to_draw():
    code = (
        "import sys, heritagemove.__main__, heritagemove.hand_over.page; "
        "print(*(name for name in ('pandas', 'scipy.stats', 'scipy.optimize', 'matplotlib.pyplot', 'openpyxl', 'ipywidgets')"
        " if name in sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []
