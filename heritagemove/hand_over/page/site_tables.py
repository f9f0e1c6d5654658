"""The tables of the site's annex: each described once, from what the page says of the units together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heritagemove.hand_over.page.tables import day
from heritagemove.units.described import Described, Heading, Marked, described


def site_tables(page: Mapping[str, Any]) -> dict[str, Described | None]:
    """Return the tables of a site by name.

    Parameters
    ----------
    page : mapping
        As :func:`heritagemove.hand_over.page.content.content` gives it.
    """
    money, told = page["museum"]["currency"], {"units": _units(page)}
    of = page["together"]
    if of:
        sure = f"in {100 * of['confidence']:.0f} of 100 cases"
        told |= {
            "sets": _sets(of["sets"], money, sure),
            "crane": _crane(of["crane"], money),
            "bank": of["bank"] and _bank(of["bank"]["months"], money, sure),
            "funds": _funds(of["funds"], money, sure),
            "lost": of["lost"] and _lost(of["lost"], money, sure),
            "nothing": _nothing(of["nothing"], money),
        }
    return told


def _units(page: Mapping[str, Any]) -> Described:
    money = page["museum"]["currency"]

    def path(unit: Mapping[str, Any], role: str, otherwise: str) -> Any:
        found = next((row for row in unit["paths"] if row["path"] == unit[role]), None)
        return Marked(found["number"], found["title"]) if found else otherwise

    headings = [
        Heading("Unit", lambda r: r["name"]),
        Heading("Choice, were it alone", lambda r: path(r, "choice", r["decision"]["verdict"])),
        Heading(
            "To set aside",
            lambda r: r["decision"]["budget"]["p80"] if r["decision"]["budget"] else "nothing yet",
            "whole",
            money,
        ),
        Heading("In time", lambda r: r["decision"]["chance_if_decided_then"] if r["choice"] else "not decided", "chance"),
        Heading("Last meeting that decides", lambda r: day(r["decide_by"], "at once")),
        Heading("Fallback", lambda r: path(r, "fallback", "no other path saves it")),
        Heading("Last day to wait for the answer", lambda r: day(r["switch_by"], "no last day")),
    ]
    return described("What each unit is to do by itself, refusals and fallbacks counted", headings, page["units"])


def _names(units: Sequence[Mapping[str, Any]]) -> str:
    return "; ".join(f"{one['name']} by path {one['number']}, {one['path']}" for one in units)


def _sets(rows: Sequence[Mapping[str, Any]], money: str, sure: str) -> Described:
    headings = [
        Heading("Points saved", lambda r: f"{r['points']}{' (the money carries this)' if r['now'] else ''}"),
        Heading("Points expected", lambda r: r["expected"], "tenths"),
        Heading("Units and their paths", lambda r: _names(r["units"])),
        Heading("Cost, P50", lambda r: r["p50_usd"], "whole", money),
        Heading(f"Cost, enough {sure}", lambda r: r["at_confidence_usd"], "whole", money),
        Heading("Proved cheapest", lambda r: "yes" if r["proved"] else "no: the best found in the time allowed"),
    ]
    return described("The cheapest set of units for each number of points", headings, rows)


def _crane(rows: Sequence[Mapping[str, Any]], money: str) -> Described:
    headings = [
        Heading("Units", lambda r: str(len(r["units"]))),
        Heading("Which", lambda r: _names(r["units"])),
        Heading("Apart, mean", lambda r: r["apart_usd"], "whole", money),
        Heading("Together, mean", lambda r: r["together_usd"], "whole", money),
        Heading("Saved, mean", lambda r: r["saved_usd"], "whole", money),
        Heading("The crane, once", lambda r: r["call_out_usd"], "whole", money),
    ]
    return described("Units that share one crane: apart each calls its own, together all use the largest", headings, rows)


def _bank(rows: Sequence[Mapping[str, Any]], money: str, sure: str) -> Described:
    headings = [
        Heading("Month", lambda r: r["month"]),
        Heading("Paid, mean", lambda r: r["payments_usd"], "whole", money),
        Heading("Received, mean", lambda r: r["receipts_usd"], "whole", money),
        Heading("In the bank, P50", lambda r: r["p50_usd"], "whole", money),
        Heading(f"In the bank, at least, {sure}", lambda r: r["careful_usd"], "whole", money),
        Heading("The same, with loans", lambda r: r["with_loans_usd"], "whole", money),
        Heading("Money first runs out", lambda r: r["runs_out"], "chance"),
    ]
    return described("The account month by month; the last row holds everything later", headings, rows)


def _funds(rows: Sequence[Mapping[str, Any]], money: str, sure: str) -> Described:
    headings = [
        Heading("Fund", lambda r: r["title"]),
        Heading("Amount", lambda r: r["amount_usd"], "whole", money),
        Heading("Chance", lambda r: r["probability"], "chance"),
        Heading(f"Usable {sure}", lambda r: r["usable_usd"], "whole", money),
        Heading("Money lasts without it", lambda r: r["lasts_without"], "chance"),
        Heading("The same, if all others come", lambda r: r["lasts_without_with_others"], "chance"),
        Heading("Lowest month then", lambda r: r["trough_usd"], "whole", money),
        Heading(
            "Its loss breaks the plan", lambda r: "it is not whole even with it" if r["breaks"] is None else r["breaks"]
        ),
        Heading("Rule", lambda r: r["rule"]),
    ]
    return described("Funds one by one, and whether the loss of one breaks the plan", headings, rows)


def _lost(of: Mapping[str, Any], money: str, sure: str) -> Described:
    headings = [
        Heading("Points", lambda r: str(r["points"])),
        Heading(f"Cost, enough {sure}", lambda r: r["at_confidence_usd"], "whole", money),
        Heading("Receipts cover it in the end", lambda r: r["covered"], "chance"),
        Heading("Money lasts every month", lambda r: r["lasts"], "chance"),
        Heading(f"The same without {of['title']}", lambda r: r["lasts_without"], "chance"),
        Heading(f"Bridge loan, enough {sure}", lambda r: r["bridge_usd"], "whole", money),
    ]
    return described("Sets of units against the money", headings, of["sets"])


def _nothing(rows: Sequence[Mapping[str, Any]], money: str) -> Described:
    headings = [
        Heading("Unit", lambda r: r["name"]),
        Heading("Museum pays to decline and record it, P80", lambda r: r["museum_pays_p80_usd"], "whole", money),
        Heading("Owner pays, mean", lambda r: r["owner_pays_usd"], "whole", money),
        Heading("Owner pays, P10", lambda r: r["owner_pays_p10_usd"], "whole", money),
        Heading("Owner pays, P90", lambda r: r["owner_pays_p90_usd"], "whole", money),
        Heading("Scrap value", lambda r: r["scrap_value_usd"], "whole", money),
    ]
    caption = "If the museum does nothing: what the owner pays (above zero) to scrap each unit, and is spared if it is taken"
    return described(caption, headings, rows)
