"""What a planner has set, the answer to it, and named scenarios: saved to a file, loaded, told apart in words."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.files import saving
from heritagemove.museum.drivers import DRIVERS, read_settings
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units import units
from heritagemove.units.words import show_chance, show_date

_FORMAT = "heritagemove scenario 1"
#: A scenario is a dozen lines; a file far larger is none of ours.
_LARGEST_BYTES = 100_000
_LONGEST_NAME = 80
#: Ten years: nobody moves a date further, and the calendars look six years ahead.
_MOST_DAYS = 3660


@dataclass(frozen=True)
class Inputs:
    """What is set over the tables of a museum; with nothing set the tables hold."""

    vehicle: str  # id of the unit
    settings: Mapping[str, float] = field(default_factory=dict)  # amounts by driver, in the drivers' units
    # how far the unit's weight may be off, plus or minus [percent]; None as vehicles.csv has it
    weight_tolerance: float | None = None
    start_moved: int = 0  # how much later work begins than museum.toml says [day]
    deadline_moved: int = 0  # how much later the owner's deadline and forced-scrap date are than museum.toml says [day]
    budget_usd: float | None = None  # money there is [USD]; None where nobody has said


@dataclass(frozen=True)
class Scenario:
    """Inputs under a name."""

    name: str
    inputs: Inputs
    note: str = ""  # what to know on loading, such as that the tables have changed since; blank where there is nothing


def as_set(museum: Museum, inputs: Inputs) -> Museum:
    """Return the museum with the dates and the tolerance that are set; the museum itself where none are.

    Raises
    ------
    ValueError
        With every input that is not allowed.
    """
    problems = _problems(museum, inputs)
    if problems:
        raise units.PlannerError("\n".join(problems))
    changes: dict[str, Any] = {}
    scenario = museum.scenario
    if inputs.start_moved:
        changes["start"] = scenario.start + dt.timedelta(days=inputs.start_moved)
    if inputs.deadline_moved:
        moved = dt.timedelta(days=inputs.deadline_moved)
        changes |= {"deadline": scenario.deadline + moved, "forced_scrap": scenario.forced_scrap + moved}
    if inputs.weight_tolerance is not None:
        tolerance = {"weight_tolerance": units.Quantity(float(inputs.weight_tolerance), "percent")}
        of_unit = museum.vehicle(inputs.vehicle)
        changes["vehicles"] = [r.model_copy(update=tolerance) if r is of_unit else r for r in museum.vehicles]
    return museum.with_changes(**changes) if changes else museum


def answer(museum: Museum, inputs: Inputs, samples: Samples, previous: Comparison | None = None) -> Comparison:
    """Compare the paths with what is set.

    Parameters
    ----------
    museum : Museum
        As :func:`as_set` returns it; the same object as before where no date and no tolerance has changed.
    samples : Samples
        Of that museum.
    previous : Comparison, optional
        The answer before: what has not changed since is taken over.
    """
    return compare_paths(museum, inputs.vehicle, inputs.settings, samples, previous)


def chance_within(result: PathResult, budget_usd: float, deadline_day: int | None = None) -> float | None:
    """Return the share of trials in which a path costs no more than a budget, fallback included.

    Parameters
    ----------
    result : PathResult
    budget_usd : float
        [USD]
    deadline_day : int, optional
        Day number by which the unit must be saved and off the site as well.
    """
    if result.cost is None:
        return None
    if result.branch is None:
        return float(np.mean(result.trials.cost_usd <= budget_usd)) if deadline_day is None else None
    within = result.branch.cost_usd <= budget_usd
    if deadline_day is not None:
        within = within & result.branch.saved & (result.branch.off_site <= deadline_day)
    return float(np.mean(within))


def budget_in_words(comparison: Comparison, budget_usd: float) -> str:
    """Return what a budget is good for: the choice, in money alone and in money and time together."""
    currency = comparison.museum.scenario.currency
    if comparison.choice is None:
        return f"No path can be chosen, whatever the budget: {budget_usd:,.0f} {currency}."
    best = comparison.path(comparison.choice)
    day = simulation.day_number(comparison.museum, comparison.museum.scenario.deadline)
    money, both = chance_within(best, budget_usd), chance_within(best, budget_usd, day)
    short = best.cost_with_fallback.p80 - budget_usd
    confidence = f"{abs(short):,.0f} {currency} {'short of' if short > 0 else 'above'} its P80"
    return (
        f"A budget of {budget_usd:,.0f} {currency} is enough for path {best.number} with a {show_chance(money)} chance "
        f"({confidence}); within it and off the site in time: {show_chance(both)}."
    )


def file_name(name: str) -> str:
    """Return a safe file name for a scenario: what of its name any system takes, and a digest of all of it.

    Examples
    --------
    >>> file_name("Crane stands idle; 6 h")
    'crane-stands-idle-6-h-538b0d34.json'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-")
    digest = hashlib.sha256(name.encode()).hexdigest()[:8]
    return f"{slug or 'scenario'}-{digest}.json"


def save_scenario(folder: str | Path, name: str, museum: Museum, inputs: Inputs) -> Path:
    """Save inputs under a name; the same name again replaces what it held.

    Returns
    -------
    Path

    Raises
    ------
    ValueError
        If the name is blank, longer than 80 characters or has a line break.
    OSError
        If the file cannot be written.
    """
    name = _checked_name(name)
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    content = {
        "format": _FORMAT,
        "name": name,
        "museum": museum.scenario.name,
        "tables": museum.digest(),
        "inputs": dataclasses.asdict(inputs),
    }
    path = folder / file_name(name)
    saving.save(path, json.dumps(content, indent=2, ensure_ascii=False) + "\n")
    return path


def load_scenario(path: str | Path, museum: Museum) -> Scenario:
    """Load a scenario and check it against a museum's tables.

    Raises
    ------
    ValueError
        With the file and everything in it that is not allowed; nothing is changed to fit.
    """
    path = Path(path)
    content = _read(path)
    given = content.get("inputs")
    names = {entry.name for entry in dataclasses.fields(Inputs)}
    if not isinstance(given, dict) or not set(given) <= names or not isinstance(given.get("vehicle"), str):
        found = ", ".join(sorted(map(str, given))) if isinstance(given, dict) else "no inputs"
        raise units.PlannerError(f"{path.name}, inputs: found {found}; allowed: {', '.join(sorted(names))}")
    inputs = Inputs(**given)
    problems = _problems(museum, inputs)
    if problems:
        raise units.PlannerError("\n".join(f"{path.name}, {problem}" for problem in problems))
    changed = content.get("tables") != museum.digest()
    note = "The tables have changed since it was saved: the answer may be another one." if changed else ""
    # As the drivers read them: whole numbers come out of JSON as integers.
    inputs = dataclasses.replace(inputs, settings=read_settings(inputs.settings))
    return Scenario(_checked_name(str(content["name"])), inputs, note)


def saved_scenarios(folder: str | Path) -> tuple[tuple[str, Path], ...]:
    """Return name and file of each scenario of a folder, by name; a file that is none goes by its file name."""
    folder, found = Path(folder), []
    for path in sorted(folder.glob("*.json")) if folder.is_dir() else ():
        try:
            found.append((_checked_name(str(_read(path)["name"])), path))
        except (ValueError, OSError):
            found.append((f"{path.name} (cannot be read)", path))
    return tuple(sorted(found))


def saved_answers(folder: str | Path, museum: Museum, vehicle: str, samples: Samples) -> dict[str, Comparison]:
    """Return the answer of each scenario of one unit that a folder holds, by name.

    Raises
    ------
    ValueError
        If a file cannot be read, or asks for what is not allowed.
    """
    found = {}
    for _, path in saved_scenarios(folder):
        scenario = load_scenario(path, museum)
        if scenario.inputs.vehicle == vehicle:
            there = as_set(museum, scenario.inputs)
            found[scenario.name] = answer(there, scenario.inputs, simulation.draw(there, previous=samples))
    return found


def differences(one: Comparison, two: Comparison, names: tuple[str, str] = ("the first", "the second")) -> tuple[str, ...]:
    """Return what differs between two answers, in words, what matters most first; one line where nothing does."""
    first, second = names
    lines = []
    if one.vehicle != two.vehicle:
        pair = (comparison.museum.vehicle(comparison.vehicle).name for comparison in (one, two))
        lines.append("The unit: {} against {}.".format(*pair))
    if one.choice != two.choice:
        lines.append(f"The choice: {_choice(one)} in {first}, {_choice(two)} in {second}.")
    elif one.choice:
        lines += _of_choice(one.path(one.choice), two.path(two.choice), second)
    if one.decide_by != two.decide_by:
        dates = [show_date(c.decide_by) if c.decide_by else "too late already" for c in (one, two)]
        lines.append(f"Commit by: {dates[0]} in {first}, {dates[1]} in {second}.")
    lines += _flipped(one, two, first, second)
    dearer = _price_of_others(one, two, second)
    return tuple(lines + dearer) or (f"Nothing that is shown differs between {first} and {second}.",)


def inputs_in_words(museum: Museum, inputs: Inputs) -> tuple[str, ...]:
    """Return what is set over the tables, a line an input."""
    lines = [
        f"{name.replace('_', ' ')} {amount:g} {DRIVERS[name].unit.replace('_', ' ')}"
        for name, amount in inputs.settings.items()
    ]
    if inputs.weight_tolerance is not None:
        lines.append(f"weight known to plus or minus {inputs.weight_tolerance:g} %")
    for days, what, date in (
        (inputs.start_moved, "work begins", museum.scenario.start),
        (inputs.deadline_moved, "deadline", museum.scenario.deadline),
    ):
        if days:
            moved = show_date(date + dt.timedelta(days=days))
            lines.append(f"{what} {moved}, {abs(days)} days {'later' if days > 0 else 'earlier'}")
    if inputs.budget_usd is not None:
        lines.append(f"budget {inputs.budget_usd:,.0f} {museum.scenario.currency}")
    return tuple(lines) or ("as the tables say",)


def _choice(comparison: Comparison) -> str:
    if comparison.choice is None:
        return "none"
    best = comparison.path(comparison.choice)
    return f"path {best.number}, {best.title}"


def _of_choice(one: PathResult, two: PathResult, second: str) -> list[str]:
    currency = one.currency
    lines = []
    cost = two.cost_with_fallback.p80 - one.cost_with_fallback.p80
    if abs(cost) >= 0.5:
        more = "more" if cost > 0 else "less"
        lines.append(f"Path {one.number} stays the choice and costs {abs(cost):,.0f} {currency} {more} at P80 in {second}.")
    points = 100 * (two.chance_with_fallback - one.chance_with_fallback)
    if abs(points) >= 0.05:
        words = f"{abs(points):.1f} points {'higher' if points > 0 else 'lower'}"
        both = f"{show_chance(two.chance_with_fallback)} against {show_chance(one.chance_with_fallback)}"
        lines.append(f"Its chance to be off the site in time is {words} in {second}: {both}.")
    if one.off_site and two.off_site and one.off_site.p80 != two.off_site.p80:
        lines.append(f"Its P80 date off the site: {show_date(one.off_site.p80)}, in {second} {show_date(two.off_site.p80)}.")
    return lines


def _flipped(one: Comparison, two: Comparison, first: str, second: str) -> list[str]:
    others = {result.path: result for result in two.paths}
    pairs = [(result, others[result.path]) for result in one.paths if result.path in others]
    flipped = [(a, b) for a, b in pairs if a.status != b.status]
    return [f"Path {a.number}, {a.title}: {a.status} in {first}, {b.status} in {second}." for a, b in flipped]


def _price_of_others(one: Comparison, two: Comparison, second: str) -> list[str]:
    others = {result.path: result for result in two.paths}
    moved = [
        (f"path {a.number} {others[a.path].cost.p80 - a.cost.p80:+,.0f}", abs(others[a.path].cost.p80 - a.cost.p80))
        for a in one.paths
        if a.path in others and a.cost and others[a.path].cost
    ]
    shown = [words for words, usd in sorted(moved, key=lambda pair: -pair[1]) if usd >= 0.5]
    return [f"P80 cost in {second}, each path alone [{one.museum.scenario.currency}]: {', '.join(shown)}."] if shown else []


def _problems(museum: Museum, inputs: Inputs) -> list[str]:
    """Return what of the inputs is not allowed, each as where, found, allowed."""
    problems = []
    known = [row.vehicle for row in museum.vehicles]
    if inputs.vehicle not in known:
        problems.append(f'vehicle: found "{inputs.vehicle}"; allowed: {", ".join(known)}')
    if not isinstance(inputs.settings, Mapping):
        problems.append(f'settings: found "{inputs.settings}"; allowed: an amount for each driver that is set')
    else:
        for name, amount in inputs.settings.items():
            try:
                read_settings({name: _number(amount)})
            except ValueError as error:
                problems.append(str(error))
    tolerance, budget = inputs.weight_tolerance, inputs.budget_usd
    if tolerance is not None and not 0 <= _number(tolerance) < 100:
        problems.append(f'weight_tolerance: found "{tolerance}"; allowed: 0 to below 100 percent')
    if budget is not None and not 0 <= _number(budget) < 1e12:
        problems.append(f'budget_usd: found "{budget}"; allowed: a sum of at least 0 {museum.scenario.currency}')
    scenario = museum.scenario
    moved = {name: getattr(inputs, name) for name in ("start_moved", "deadline_moved")}
    wrong = [f'{name}: found "{days}"; allowed: whole days, -{_MOST_DAYS} to {_MOST_DAYS}' for name, days in moved.items()
             if type(days) is not int or abs(days) > _MOST_DAYS]  # fmt: skip
    if wrong:
        return problems + wrong
    first = scenario.start + dt.timedelta(days=inputs.start_moved)
    last = scenario.deadline + dt.timedelta(days=inputs.deadline_moved)
    if last <= first:
        found = f"{show_date(last)} with work beginning {show_date(first)}"
        problems.append(f"deadline: found {found}; allowed: a deadline after the start")
    return problems


def _number(given: Any) -> float:
    """Return a number of a file as one; anything else is no number, which every range refuses."""
    return float(given) if isinstance(given, int | float) and not isinstance(given, bool) else float("nan")


def _checked_name(name: str) -> str:
    name = name.strip()
    if not 0 < len(name) <= _LONGEST_NAME or not name.isprintable():
        allowed = f"1 to {_LONGEST_NAME} characters on one line"
        raise units.PlannerError(f'name: found "{name[:_LONGEST_NAME]}"; allowed: {allowed}')
    return name


def _read(path: Path) -> dict[str, Any]:
    allowed = "a scenario saved by this program"
    if path.stat().st_size > _LARGEST_BYTES:
        raise units.PlannerError(f"{path.name}: found {path.stat().st_size:,} bytes; allowed: {allowed}")
    try:
        content = json.loads(path.read_bytes())
    except (ValueError, RecursionError) as error:
        raise units.PlannerError(f"{path.name}: found no JSON ({error}); allowed: {allowed}") from error
    if not isinstance(content, dict) or content.get("format") != _FORMAT or "name" not in content:
        raise units.PlannerError(f'{path.name}: found no "format": "{_FORMAT}"; allowed: {allowed}')
    return content
