"""Every row of assembly.csv: a small situation, screened as a museum would be, and what its gate must say.

The formulas are right one by one (cases.csv); here they are put together with rows, facts and survey.

How to add a case, a row of assembly.csv:

- gate: a check of gates.csv (`crane`), or the id of a gate that stands on a fact or a task (`receiving_track`).
- museum, unit, path: folder under data/ (`tamber_river`, `elsewhere/melderbach`), and ids in its tables.
- changes: what is different there, each as typed in a spreadsheet, `; ` between them:
  `places:place=museum:radius=60 ft` a cell, of every row that holds these words in these columns;
  `+survey:vehicle=any,place=site,clue=route_walked,found=no` one more row (basis, source and dates may be left out);
  `-survey:clue=route_walked` without these rows; `museum:start=2029-03-01` a key of museum.toml.
  Words may hold commas, units and blanks; `vehicles::weight=` blanks a cell of every row.
- status: pass, marginal, open, fail, unknown; absent where the gate does not apply (its driver is zero).
- found: words that must stand in what was found or what would change it, ` | ` between them; or a measure of the check
  as `demand=42.6 short_ton`, `capacity=...`, `margin=...`, `refusal=0.05`, true to `~ 0.5` or else to 0.1 %.
- working: the arithmetic by hand (or by code that stands beside it, named); source: where its numbers and rule are from.
  None taken from this program.

A gate must have a case for each outcome that is possible for it (`possible` below).
"""

import csv
import io
import re
from functools import cache
from pathlib import Path

import pytest

from heritagemove.checks.gates.screening import screen
from heritagemove.checks.gates.wiring import CHECKS
from heritagemove.compare.comparison import price_path
from heritagemove.files.tables import read_table
from heritagemove.museum.museum import load_museum, reference_folder
from heritagemove.museum.rows import MUSEUM_TABLES, REFERENCE_TABLES, TABLES
from heritagemove.museum.rules import cross_table_problems
from heritagemove.trials.simulation import draw

DATA = Path(__file__).resolve().parents[2] / "data"
TABLE = Path(__file__).with_name("assembly.csv")
STATUSES = ("pass", "marginal", "open", "fail", "unknown", "absent")

#: Outcomes of a check where they are not pass, marginal, fail and unknown.
OUTCOMES = {
    "brake_test": "pass open unknown",
    "centre_of_gravity": "pass marginal open fail unknown",
    "crawl": "pass open unknown",
    "flat_car_clearance": "pass marginal open fail unknown",
    "flat_car_load": "pass marginal open fail unknown",
    "freight_car_age": "open unknown",
    "haul_pull": "pass marginal open unknown",
    "legal_weight": "pass marginal open unknown",
    "outside_boxes": "pass fail",
    "plain_bearings": "pass fail unknown",
    "plate": "pass open unknown",
    "posted_bridge": "pass marginal open fail unknown",
    "rail_bridge": "pass open fail unknown",
    "season": "pass marginal unknown",
    "side_clearance": "pass marginal open fail unknown",
    "starting_pull": "pass marginal open unknown",
    "trailer_axle_load": "pass marginal open fail unknown",
    "turn": "pass marginal open fail unknown",
    "yard_only": "marginal fail unknown",
    "services_located": "pass open unknown",
    "tipping": "pass marginal open unknown",
}

#: Outcomes that no case shows yet, a gate a line; this list may only grow shorter, and is to be empty.
NOT_YET = """
"""


@cache
def cases():
    with TABLE.open(newline="", encoding="utf-8") as file:
        return tuple(csv.DictReader(file))


@cache
def tables(museum):
    """Return the lines of every table of a museum, as typed, by name."""
    folder = DATA / museum
    places = dict.fromkeys(MUSEUM_TABLES, folder) | dict.fromkeys(REFERENCE_TABLES, reference_folder(folder))
    return {file: tuple(csv.reader((place / file).read_text("utf-8-sig").splitlines())) for file, place in places.items()}


@cache
def standing(museum):
    return load_museum(DATA / museum)


def changed(museum, changes):
    """Return a museum in which these cells are typed otherwise, read by the tables' own reader and cross-checked."""
    typed, scenario = {}, {}
    for change in filter(None, re.split(r";\s*(?=[+-]?[a-z_]+:)", changes.strip())):
        table, keys, *cell = (part.strip() for part in re.split(r":(?=[a-z_]*=|$)", change))
        if table == "museum":
            scenario |= dict([keys.split("=", 1)])
            continue
        file = table.lstrip("+-") + ".csv"
        heading, *lines = typed.get(file) or tables(museum)[file]
        wanted = dict(pair.split("=", 1) for pair in re.split(r",\s*(?=[a-z_]+=)", keys) if pair)
        assert set(wanted) <= set(heading), f"{change}: no such column in {file}"
        if table.startswith("+"):
            fill = {"basis": "judgment", "source": "assembled", "observed": "2026-11-20", "as_of": "2026-11-20"}
            typed[file] = [heading, *lines, [(fill | wanted).get(column, "") for column in heading]]
            continue
        hit = [all(line[heading.index(column)] == word for column, word in wanted.items()) for line in lines]
        assert any(hit), f"{change}: no such row in {file}"
        if table.startswith("-"):
            typed[file] = [heading, *(line for line, out in zip(lines, hit, strict=True) if not out)]
            continue
        column, _, text = cell[0].partition("=")
        place = heading.index(column)
        lines = [[*line[:place], text, *line[place + 1 :]] if on else line for line, on in zip(lines, hit, strict=True)]
        typed[file] = [heading, *lines]
    museum = standing(museum)
    for file, lines in typed.items():
        read, problems = read_table(Path(file), TABLES[file.removesuffix(".csv")], written(lines))
        museum = museum.with_rows(**{file.removesuffix(".csv"): read})
        assert not problems, problems
    assert not (problems := typed and cross_table_problems(museum)), problems
    return museum.with_changes(**scenario) if scenario else museum


def written(lines):
    text = io.StringIO(newline="")
    csv.writer(text).writerows(lines)
    return text.getvalue().encode()


@cache
def finding(museum, changes, unit, path, gate):
    """Return what was found for the gate of a case; None where the gate does not apply."""
    museum = changed(museum, changes)
    found = screen(museum, unit, path).findings
    own = [each for each in found if gate in (each.gate.gate, each.gate.check)]
    assert len(own) == 1, f"{gate}: {len(own)} gates of {path}; allowed: one"
    if own[0].gate.needs:
        applies = price_path(museum, unit, path, samples=draw(museum, trials=50)).findings
        return own[0] if own[0] in applies else None
    return own[0]


def differences(case):
    """Return how what was found differs from what a case expects; nothing where it agrees."""
    found = finding(*(case[column] for column in ("museum", "changes", "unit", "path", "gate")))
    status = "absent" if found is None else found.status
    if status != case["status"]:
        yield f"{status}, not {case['status']}: {found and found.found}"
    for part in filter(None, case["found"].split(" | ")):
        measured = re.fullmatch(r"(demand|capacity|margin|refusal)=([^~]+)(?:~(.*))?", part)
        if not measured:
            if part not in f"{found.found} {found.margin} {found.find} {found.check and found.check.note}":
                yield f'no "{part}" in: {found.found} {found.margin}'
            continue
        name, text, within = measured.groups()
        if name == "refusal":
            value, wanted = found.refusal, float(text)
        else:
            amount = getattr(found.check, name)
            number, _, unit = text.strip().partition(" ")
            wanted, value = float(number), None if amount is None else amount.m_as(unit)
        if value is None or value != pytest.approx(wanted, abs=float(within) if within else abs(wanted) / 1000, rel=0):
            yield f"{name} {value}, not {text}"


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case['gate']}-{case['status']}-{case['unit']}-{case['path']}")
def test_a_gate_says_what_the_situation_calls_for(case):
    assert case["status"] in STATUSES and case["working"] and case["source"]
    assert not [*differences(case)]


def subject(gate):
    return gate.check or gate.gate


def possible(gate):
    """Return the outcomes that a gate's row declares possible."""
    if gate.check:
        return set(OUTCOMES.get(gate.check, "pass marginal fail unknown").split())
    if gate.fact or set(gate.rests_on) - {"bearing"}:
        return {"pass", "open" if gate.task else "fail", "unknown"}
    return {"open" if gate.refusal_probability else "pass", *(["unknown"] if gate.rests_on else [])}


def test_every_outcome_that_a_gate_can_have_is_assembled():
    """Engineering checks once each, gates on facts, tasks and readiness by their id."""
    wanted = {(check, outcome) for check in CHECKS for outcome in OUTCOMES.get(check, "pass marginal fail unknown").split()}
    for gate in load_museum(DATA / "tamber_river").gates:
        wanted |= {(subject(gate), outcome) for outcome in possible(gate)}
    missing = sorted(wanted - {(case["gate"], case["status"]) for case in cases()})
    listed = re.findall(r"^(\w+): (.*)$", NOT_YET, re.MULTILINE)
    not_yet = {(gate, outcome) for gate, outcomes in listed for outcome in outcomes.split()}
    assert set(missing) <= not_yet, "\n".join(" ".join(pair) for pair in sorted(set(missing) - not_yet))
    assert not_yet <= set(missing), f"assembled by now, take them out: {sorted(not_yet - set(missing))}"


def test_no_gate_shows_an_outcome_that_it_does_not_declare(museum):
    for unit in museum.vehicles:
        for path in museum.paths:
            for found in screen(museum, unit.vehicle, path.path).findings:
                assert found.status in possible(found.gate), (unit.vehicle, path.path, subject(found.gate), found.status)


def test_a_case_that_expects_something_else_is_refused():
    """The comparison is not vacuous: another status, other words and another amount each differ."""
    for case in cases()[::10]:
        other = next(status for status in STATUSES if status != case["status"])
        assert [*differences(case | {"status": other, "found": ""})]
        measured = re.fullmatch(r"(demand|capacity|margin)=([\d.]+)( .*?)(~.*)?", case["found"])
        if measured:
            moved = f"{measured[1]}={float(measured[2]) * 1.1 + 10:g}{measured[3]}{measured[4] or ''}"
            assert [*differences(case | {"found": moved})]
