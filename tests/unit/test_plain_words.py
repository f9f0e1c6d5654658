"""The page in a lay reader's words: what nobody should have to read stands on no page of either demo."""

import re
from pathlib import Path

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.hand_over.page import content
from heritagemove.hand_over.page.tables import tables_of
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import load_museum
from heritagemove.trials.simulation import draw
from heritagemove.units.described import Described

#: What is unclear, by why.
UNCLEAR = {
    "a range of one value": r"(?<![\d.,–-])(\d[\d.,]*) (?:to|–) \1(?![\d.,])\b",
    "a bound that says nothing": r"at least 0(\.0)? ?%",
    "a zero with a sign": r"(?<![\w.,-])-0(?:\.0+)?(?![\d.])",
    "an id": r"\b(?!museum\.toml)[a-z]+(?:_[a-z0-9]+)+\b(?!\.csv)",
    "a value of the program": r"\b(?:None|nan|inf|True|False)\b",
    "an abbreviated label": r"\bFlip: |No better than",
    "a claim about knowledge": r"surer than what is known",
    "a reader who typed": r"\byou typed\b",
    "a chance that begins a sentence badly": r"\bA <|\ba <",
    "a bare share": r"\d+% confidence",
}


#: Keys of the twin whose values are ids, or file and row.
IDS = {"path", "vehicle", "fallback", "choice", "row", "kind", "turns_to", "command", "folder", "milestone", "source"}


def texts(value):
    """Every text in plain data that a reader sees: sources name files and ids, and commands are commands."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Described):
        yield value.caption
        yield from (cell for row in [value.titles(), *value.cells()] for cell in row)
    elif isinstance(value, dict):
        for key, part in value.items():
            if key not in IDS:
                yield from texts(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from texts(part)


@pytest.fixture(scope="module")
def pages(museum):
    abroad = load_museum(Path(museum.folder).parent / "elsewhere" / "melderbach")
    found = {}
    for each in (museum, abroad):
        samples, memo = draw(each, trials=300), Memo()
        for row in each.vehicles:
            said = content([compare_paths(each, row.vehicle, {}, samples, memo)])
            found[row.vehicle] = row.kind, said["units"][0], tables_of(said["units"][0], said["museum"])
    return found


@pytest.mark.parametrize("why", UNCLEAR)
def test_no_page_says(pages, why):
    found = {
        (vehicle, text)
        for vehicle, (_, unit, tables) in pages.items()
        for part in (tables, {key: unit[key] for key in ("paper", "sentence", "budget", "would_change_it", "facts", "seen",
                                                         "following", "unknown", "plans", "loads")})
        for text in texts(part)
        if not re.match(r"(.*csv row \d+, )?(quote|published|measured|judgment): ", text) and re.search(UNCLEAR[why], text)
    }  # fmt: skip
    assert not found


def test_the_patterns_find_what_they_are_for():
    cases = ("8 to 8 days", "at least 0.0 %", "-0 USD", "found not_required", "nan", "Flip: heavier",
             "surer than what is known", "the data you typed", "A <1% chance", "at 80% confidence")  # fmt: skip
    unfound = [case for case in cases if not any(re.search(pattern, case) for pattern in UNCLEAR.values())]
    fine = (
        "8 to 80 days",
        "18 to 8.5",
        "at least 0.5 %",
        "10-0.5",
        "row 22 of rates.csv",
        "<1%",
        "a 1% chance",
        "2 to 21 days",
    )
    assert (unfound, [case for case in fine if any(re.search(pattern, case) for pattern in UNCLEAR.values())]) == ([], [])


def test_no_input_belongs_to_another_kind_of_unit(pages):
    of_steam, of_diesel = r"lagging|boiler|tender|driving wheel|rods", r"traction motor|fuel, oil|gear.?case"
    for vehicle, (kind, unit, _) in pages.items():
        names = [row["name"] for row in unit["inputs"] if row["kind"] in ("quantity", "price")]
        other = of_diesel if "steam" in kind else of_steam if "diesel" in kind else f"{of_steam}|{of_diesel}"
        assert names and not [name for name in names if re.search(other, name)], vehicle


def test_every_demand_is_said_with_its_unit(pages):
    bare = [
        (vehicle, gate["title"], gate["demand"], gate["found"])
        for vehicle, (_, unit, _) in pages.items()
        for path in unit["gates"]
        for gate in (*path["hard_stops"], *path["cautions"])
        if gate["demand"]
        and re.fullmatch(r"-?[\d.,]+", gate["demand"])
        and not re.search(r"Cooper E|axles|cars|Age ", gate["found"])
    ]
    assert not bare


def test_values_that_are_still_the_starter_s_are_counted_on_the_paper_and_in_the_annex(museum):
    changed = museum.with_changes(rates=[row.model_copy(update={"starter": True}) for row in museum.rates])
    unit = content([compare_paths(changed, "caboose", {}, draw(changed, trials=100))])["units"][0]
    told = f"{len(museum.rates)} of {len(museum.rates)} prices are the starter's: nobody was asked."
    assert told in unit["paper"]["rests_on"]
    assert (
        unit["starter"] == sum(row["starter"] for row in unit["inputs"]) == sum(r["kind"] == "price" for r in unit["inputs"])
    )
