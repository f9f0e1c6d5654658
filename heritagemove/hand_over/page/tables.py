"""The tables of a unit's annex: each described once, from what the page says of the unit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from heritagemove.hand_over.page.plain import named
from heritagemove.units.described import Described, Heading, Marked, described
from heritagemove.units.words import show_chance, show_rounded

#: Statuses of a path and of a gate: a mark and a word, never a colour alone.
STATUS = {"clear": "✓ clear", "caution": "! caution", "unknown": "? unknown", "blocked": "✕ blocked"}
GATE = {"pass": "✓ met", "marginal": "! narrowly", "fail": "✕ not met", "open": "○ to be asked", "unknown": "? unknown"}
#: So many of the reasons of a path stand in the table of paths.
_REASONS = 1
#: So many of the lines that nothing covers; the twin has all.
_SOFT = 6


def tables_of(unit: Mapping[str, Any], museum: Mapping[str, Any]) -> dict[str, Any]:
    """Return the tables of one unit by name; of those that belong to a plan, one a role.

    Parameters
    ----------
    unit, museum : mapping
        As :func:`heritagemove.hand_over.page.content.content` gives them.
    """
    money = museum["currency"]
    told = {
        "paths": _paths(unit, money),
        "gates": [_gates(unit["gates"], roles, unit) for roles in (("choice", "fallback"), ()) if roles or unit["gates"]],
        "loads": [_loads(path) for path in unit["loads"]],
        "find_first": _find_first(unit),
        "following": _following(unit["following"], money) if unit["following"] else [],
        "inputs": _inputs(unit["inputs"]),
        "criteria": _criteria(unit["criteria"]) if unit["criteria"] else None,
        "scenarios": _scenarios(unit["scenarios"], money),
    }
    for plan in unit["plans"]:
        told[plan["role"]] = {
            "tasks": _tasks(plan),
            "lines": _lines(plan, money),
            "risks": _risks(plan, money),
            "months": _months(plan, museum) if plan["months"] else None,
            "upkeep": _upkeep(plan, money),
            "decides": [_decides(rows, on, money) for on, rows in plan["decides"].items()],
        }
    return told


def day(text: str | None, otherwise: str = "none") -> dt.date | str:
    """Return a date of the content, or what is said where there is none."""
    return dt.date.fromisoformat(text) if text else otherwise


def _role(unit: Mapping[str, Any], path: str) -> str:
    return " (the choice)" if path == unit["choice"] else " (the fallback)" if path == unit["fallback"] else ""


def _paths(unit: Mapping[str, Any], money: str) -> Described:
    def money_of(row: Mapping[str, Any], part: str) -> Any:
        return row["cost_usd"] and row["cost_usd"][part]

    none = dict.fromkeys(STATUS, "no way to a museum") | {"blocked": "not possible", "unknown": "not known"}

    def all_in(row: Mapping[str, Any], value: Any) -> Any:
        return value(row["with_fallback"]) if row["with_fallback"] else none[row["status"]]

    headings = [
        Heading("Path", lambda r: Marked(r["number"], r["title"] + _role(unit, r["path"]))),
        Heading("Status", _status),
        Heading("Cost, P50", lambda r: money_of(r, "p50"), "whole", money),
        Heading("Cost, P80", lambda r: money_of(r, "p80"), "whole", money),
        Heading("Off the site, P80", lambda r: day(r["off_site"] and r["off_site"]["p80"], "never"), "date"),
        Heading("At the museum, P80", lambda r: day(r["arrived"] and r["arrived"]["p80"], "no date"), "date"),
        Heading("In time", lambda r: "never" if r["off_site"] is None else r["chance_by_deadline"], "chance"),
        Heading("Every gate met", lambda r: r["chance_of_gates"], "chance"),
        Heading("Cost with refusals, P80", lambda r: all_in(r, lambda f: f["cost_usd"]["p80"]), "whole", money),
        Heading("In time with refusals", lambda r: all_in(r, lambda f: f["chance_by_deadline"]), "chance"),
        Heading("What is in its way, and what would change that", _why),
    ]
    caption = "Every path, each begun at once: cost and dates if its gates are met, and with refusals counted"
    return described(caption, headings, unit["paths"])


def _status(row: Mapping[str, Any]) -> str:
    of = row["provisional"]
    return STATUS[row["status"]] + (
        f" (provisional: {show_chance(of['low'])} to {show_chance(of['high'])} in time)" if of else ""
    )


def _why(row: Mapping[str, Any]) -> str:
    reasons, more = row["reasons"][:_REASONS], len(row["reasons"]) - _REASONS
    told = [*reasons, *([f"And {more} more."] if more > 0 else [])]
    return " ".join([*told, *([f"What would change this: {row['flips']}"] if row["flips"] else [])]) or "Nothing."


def _gates(paths: Sequence[Mapping[str, Any]], roles: Sequence[str], unit: Mapping[str, Any]) -> Described:
    """Return the gates of the choice and its fallback, each gate once where they find the same; or those of the others."""
    own = (unit["choice"], unit["fallback"])
    shown = [path for path in paths if (path["path"] in own) == bool(roles)]
    shown.sort(key=lambda path: path["path"] != unit["choice"])  # whose refusals are told
    rows: dict[tuple[Any, ...], tuple[dict[str, Any], list[int]]] = {}
    for path in shown:
        for kind in ("hard_stops", "cautions"):
            for gate in path[kind]:
                key = (kind, gate["title"], gate["status"], gate["found"], gate["demand"], gate["changes_if"])
                rows.setdefault(key, ({**gate, "kind": kind}, []))[1].append(path["number"])
    headings = [
        Heading("Gate", lambda r: r[0]["title"]),
        Heading("Paths", lambda r: ", ".join(map(str, sorted(r[1])))),
        Heading("Result", lambda r: GATE[r[0]["status"]] + (" (a caution)" if r[0]["kind"] == "cautions" else "")),
        Heading("What was found, and what would change the result", lambda r: _found(r[0])),
        *([Heading("If the choice is refused it", lambda r: r[0]["if_refused"] or "")] if roles else []),
        Heading("Rule, and its day", lambda r: f"{r[0]['rule']}, {day(r[0]['as_of']):%Y}"),
        Heading("Who signs", lambda r: r[0]["signer"] + (f", until {day(r[0]['expires'])}" if r[0]["expires"] else "")),
        Heading("Row of gates.csv", lambda r: r[0]["row"].rpartition(" ")[2]),
    ]
    names = "the choice and its fallback" if roles else "the other paths"
    return described(f"Gates of {names}: what must be met, and who says so", headings, rows.values())


def _found(gate: Mapping[str, Any]) -> str:
    told = [gate["found"]]
    if gate["capacity"] and gate["utilization"]:
        told.append(f"That is {gate['utilization']:.0%} of what is allowed.")
    return " ".join([*told, *([f"The result changes if {gate['changes_if']}."] if gate["changes_if"] else [])])


def _loads(path: Mapping[str, Any]) -> Described:
    headings = [
        Heading("Line", lambda r: r["what"]),
        Heading("Weight", lambda r: r["weight"]),
        Heading("From", lambda r: r["from"]),
    ]
    return described(f"How the load of path {path['number']} comes about", headings, path["lines"])


def _tasks(plan: Mapping[str, Any]) -> Described:
    headings = [
        Heading("Task", lambda r: r["title"] + (f" ({', '.join(map(named, r['milestone']))})" if r["milestone"] else "")),
        Heading("Who", lambda r: r["who"]),
        Heading("Done, P50", lambda r: day(r["finish_p50"]), "date"),
        Heading("Done, P80", lambda r: day(r["finish_p80"]), "date"),
        Heading("Sets the date", lambda r: r["sets_the_date"], "chance"),
        Heading("Row of tasks.csv", lambda r: r["row"].rpartition(" ")[2]),
    ]
    caption = f"Tasks of path {plan['number']}, begun at once, and in how many cases each sets the day off the site"
    return described(caption, headings, plan["tasks"])


def _lines(plan: Mapping[str, Any], money: str) -> Described:
    headings = [
        Heading("Cost line", lambda r: f"{r['title']} ({r['row']})"),
        Heading("How much", _how_much),
        Heading("Counted in", lambda r: ", ".join(dict.fromkeys(r["quantity_from"]))),
        Heading("Price: low, likely, high", _price),
        Heading("Price from", lambda r: "; ".join(f"{p['row']}, {p['basis']}: {p['source']}" for p in r["prices"])),
        Heading("Mean", lambda r: r["mean_usd"], "whole", money, total=True),
    ]
    caption = f"Cost lines of path {plan['number']}: mean amount times price, with the estimating error"
    return described(caption, headings, plan["lines"])


def _how_much(line: Mapping[str, Any]) -> str:
    amount = line["quantity"]
    shown = f"{amount:z,.0f}" if abs(amount) >= 1000 else f"{amount:z,.4g}"
    unit = line["price_in"].rpartition(" per ")[2]
    times = "" if line["factor"] == 1 else f"{line['factor']:,g} times "
    return f"{shown} {unit}: {times}{line['driver']}"


def _price(line: Mapping[str, Any]) -> str:
    first, last = line["prices"][0], line["prices"][-1]
    told = f"{first['low']:,g}, {first['likely']:,g}, {first['high']:,g}"
    more = "" if first is last else f" up to {last['low']:,g}, {last['likely']:,g}, {last['high']:,g} by weight"
    return f"{told}{more} {line['price_in']}"


def _risks(plan: Mapping[str, Any], money: str) -> Described:
    def bought(row: Mapping[str, Any]) -> str:
        if row["mitigation_cost_usd"] is None:
            return row["mitigation"] or "nothing known"
        left = row["mitigated_probability"]
        left = "" if left is None else f", leaves a chance of {show_chance(left)}"
        paid = ", in the plan" if row["bought"] else ""
        return f"{row['mitigation']} ({show_rounded(row['mitigation_cost_usd'])} {money}{left}{paid})"

    headings = [
        Heading("What can go wrong", lambda r: r["title"]),
        Heading("Chance", lambda r: r["probability"], "chance"),
        Heading("Mean cost", lambda r: r["mean_cost_usd"], "whole", money),
        Heading("Delay if it happens", _delay),
        Heading("What lowers it", bought),
        Heading("Who watches", lambda r: r["owner"]),
        Heading("Row of risks.csv", lambda r: r["row"].rpartition(" ")[2]),
    ]
    return described(f"What can go wrong on path {plan['number']}, the dearest first", headings, plan["risks"])


def _delay(row: Mapping[str, Any]) -> str:
    low, high = row["delay_low"], row["delay_high"]
    if high <= 0:
        return "none"
    unit = "days of the season" if row["stretches"] else "working days"
    return f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"


def _months(plan: Mapping[str, Any], museum: Mapping[str, Any]) -> Described:
    money, sure = museum["currency"], f"{100 * museum['confidence']:.0f} of 100 cases"
    headings = [
        Heading("Month", lambda r: r["month"]),
        Heading("Paid, mean", lambda r: r["mean_usd"], "whole", money, total=True),
        Heading("Paid by then, P50", lambda r: r["p50_usd"], "whole", money),
        Heading(f"Paid by then, enough in {sure}", lambda r: r["careful_usd"], "whole", money),
    ]
    caption = f"Money by month, path {plan['number']}, begun at once, refusals and fallback counted"
    return described(caption, headings, plan["months"]["rows"])


def _upkeep(plan: Mapping[str, Any], money: str) -> Described | None:
    if not plan["whole_cost"] or not plan["whole_cost"]["upkeep"]:
        return None
    headings = [
        Heading("Every year after the arrival", lambda r: r["title"]),
        *(Heading(part.title(), lambda r, part=part: r[part], "whole", money) for part in ("low", "likely", "high")),
        Heading("Basis", lambda r: r["basis"]),
    ]
    return described("Housing and upkeep: beside the move, never in its cost", headings, plan["whole_cost"]["upkeep"])


def _decides(rows: Sequence[Mapping[str, Any]], on: str, money: str) -> Described:
    def answer(row: Mapping[str, Any], part: str) -> Any:
        return row[part] if on == "cost" else day(row[part])

    kind, unit = ("whole", money) if on == "cost" else ("date", "")
    word = "cost" if on == "cost" else "day off the site"
    headings = [
        Heading(
            "Input",
            lambda r: r["name"] + (" (the factor that stands for what no row says)" if r["kind"] == "estimate" else ""),
        ),
        Heading("Low, likely, high", _range),
        Heading("Row, basis and source", lambda r: r["row"] + (f", {r['basis']}: {r['source']}" if r["basis"] else "")),
        Heading("Mean where it is low", lambda r: answer(r, "low_gives"), kind, unit),
        Heading("Mean where it is high", lambda r: answer(r, "high_gives"), kind, unit),
    ]
    return described(
        f"What decides the {word}: the answer where an input is in its lowest and its highest tenth", headings, rows
    )


def _range(row: Mapping[str, Any]) -> str:
    if row["low"] is None:
        return "see how this page was made"
    return f"{row['low']:,g}, {row['likely']:,g}, {row['high']:,g} {row['unit']}"


def _find_first(unit: Mapping[str, Any]) -> Described:
    numbers = {row["path"]: row["number"] for row in unit["paths"]}
    headings = [
        Heading("Unknown", lambda r: r["what"]),
        Heading("How to find it out", lambda r: r["find"] or "ask or measure"),
        Heading("Who", lambda r: r["who"]),
        Heading("By", lambda r: day(r["by"], "at once"), "date"),
        Heading(
            "Paths that wait for it", lambda r: tuple(Marked(numbers[p]) for p in (*r["opens"], *r["waits"]) if p in numbers)
        ),
    ]
    return described("What to find out first", headings, unit["decision"]["find_out_first"])


def _following(follow: Mapping[str, Any], money: str) -> list[Described]:
    dates = [
        Heading("Evening of", lambda r: day(r["on"]), "date"),
        Heading("P50", lambda r: r["p50_usd"], "whole", money),
        Heading("P80", lambda r: r["p80_usd"], "whole", money),
        Heading("Quoted firmly or invoiced", lambda r: r["fixed"], "chance"),
        Heading("Off the site, P80", lambda r: day(r["off_site_p80"]), "date"),
        Heading("At the museum, P80", lambda r: day(r["arrived_p80"], "no date"), "date"),
        Heading("In time", lambda r: r["chance"], "chance"),
        Heading("Every gate met", lambda r: r["gates"], "chance"),
    ]
    papers = [
        Heading("Until", lambda r: day(r["until"]), "date"),
        Heading("Paper", lambda r: f"{r['kind']}: {r['title']}"),
        Heading("Given by", lambda r: r["holder"]),
        Heading("State", lambda r: r["state"]),
    ]
    soft = [
        Heading("Cost line", lambda r: r["line"]),
        *(Heading(name, lambda r, key=key: r[key], "whole", money)
          for name, key in (("Low", "low_usd"), ("Mean", "likely_usd"), ("High", "high_usd"))),
        Heading("Stands on", lambda r: r["stands_on"]),
    ]  # fmt: skip
    found = [
        described("Forecast on each day, after the quotes, invoices and tasks known by then", dates, follow["dates"]),
        described("Quotes, letters and permits by their last day", papers, follow["papers"]),
        described("The first lines that no quote in force covers and no last invoice settles", soft, follow["soft"][:_SOFT]),
    ]
    return [table for table in found if table.rows]


def _inputs(rows: Sequence[Mapping[str, Any]]) -> Described:
    headings = [
        Heading("Kind", lambda r: r["kind"]),
        Heading("Input", lambda r: r["name"]),
        *(Heading(part.title(), lambda r, part=part: f"{r[part]:,g}") for part in ("low", "likely", "high")),
        Heading("Unit", lambda r: r["unit"]),
        Heading("Low and high are", lambda r: "bounds" if r["range"] == "bounds" else "P10 and P90"),
        Heading("Row", lambda r: r["row"]),
        Heading("Basis and source", lambda r: f"{r['basis']}: {r['source']}"),
    ]
    return described("Every input the choice and its fallback used", headings, rows)


def _criteria(of: Mapping[str, Any]) -> Described:
    headings = [
        Heading("Path", lambda r: Marked(r["number"], r["title"])),
        *(
            Heading(f"{row['title']}, weight {row['weight']:g}", lambda r, n=n: r["values"][n], "hundredths")
            for n, row in enumerate(of["criteria"])
        ),
        Heading("Sum", lambda r: r["total"], "hundredths"),
        Heading("Beaten by", lambda r: tuple(Marked(number) for number in r["dominated_by"]) or "no other"),
    ]
    return described("Value of each path by criterion, 0 worst to 1 best, and their weighted sum", headings, of["options"])


def _scenarios(rows: Sequence[Mapping[str, Any]], money: str) -> Described:
    headings = [
        Heading("Scenario", lambda r: r["name"]),
        Heading("Set", lambda r: r["settings"] or "as the tables have it"),
        Heading("Choice", lambda r: r["choice"] or "none"),
        Heading("To set aside", lambda r: r["p80_usd"], "whole", money),
        Heading("In time", lambda r: r["chance"], "chance"),
        Heading("Decide by", lambda r: day(r["decide_by"], "at once"), "date"),
        Heading("What differs", lambda r: " ".join(r["differences"])),
    ]
    return described("Saved scenarios beside this page", headings, rows)


def limits_table(rows: Sequence[Mapping[str, Any]]) -> Described:
    """Return the published limits that gates are screened against."""
    headings = [
        Heading("Limit", lambda r: r["title"]),
        Heading("Value", lambda r: f"{r['value']:,g} {r['unit'] or ''}".strip()),
        Heading("Strength", lambda r: r["strength"].replace("_", " ")),
        Heading("Source", lambda r: r["source"]),
        Heading("As of", lambda r: day(r["as_of"], "no day"), "date"),
        Heading("Confirm with", lambda r: r["confirm_with"]),
    ]
    return described("Published limits and planning policies that the gates are screened against", headings, rows)
