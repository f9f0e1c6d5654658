"""The figures of a comparison as text: for a terminal, a spreadsheet or another program."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from heritagemove.compare.results import Comparison
from heritagemove.units.words import show_date


def as_json(comparison: Comparison) -> str:
    """Return every figure as JSON."""
    return json.dumps(comparison.as_json(), indent=2, ensure_ascii=False) + "\n"


def as_csv(comparison: Comparison) -> str:
    """Return every figure as a table of one row a path."""
    content = comparison.as_json()
    whole = {n: content[n] for n in _SAID} | {"verdict": content["decision"]["verdict"]}
    rows = [{"vehicle": content["vehicle"], **_flat(path), **whole} for path in content["paths"]]
    out = io.StringIO()
    writer = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows([{name: _inert(value) for name, value in row.items()} for row in rows])
    return out.getvalue()


_PARTS, _SAID = ("p10", "p50", "p80", "p90", "mean"), ("choice", "fallback", "decide_by", "switch_by")


def _flat(path: dict[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for name, value in path.items():
        if name in ("cost_usd", "off_site", "arrived", "closed", "provisional"):
            parts = ("low", "high") if name == "provisional" else _PARTS
            flat |= {f"{name}_{part}": (value or {}).get(part) for part in parts}
        elif name == "with_fallback":
            value = value or {}
            flat |= {f"with_fallback_{part}": value.get(part) for part in ("fallback", "chance_by_deadline")}
            flat |= {f"with_fallback_cost_usd_{part}": value.get("cost_usd", {}).get(part) for part in _PARTS}
        else:
            flat[name] = " | ".join(value) if isinstance(value, list) else value
    return flat


def _inert(value: Any) -> Any:
    """Keep a spreadsheet from running a text as a formula."""
    return "'" + value if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def as_text(comparison: Comparison) -> str:
    """Return what a planner reads in a terminal."""
    lines = [comparison.sentence, ""]
    money = comparison.museum.scenario.currency
    names = "no", "path", "status", f"P50 {money}", f"P80 {money}", "P80 off site", "P80 arrives", "by deadline", "gates"
    heading = "{:>2}  {:<17} {:<8} {:>9} {:>9}  {:<12} {:<12} {:>11} {:>6}".format(*names)
    lines += [heading, "-" * len(heading)]
    for result in comparison.paths:
        cost = [f"{value:,.0f}" for value in (result.cost.p50, result.cost.p80)] if result.cost else ["unknown"] * 2
        off_site, arrived = (show_date(date.p80) if date else "-" for date in (result.off_site, result.arrived))
        chances = [
            "-" if chance is None else f"{chance:.0%}" for chance in (result.chance_by_deadline, result.chance_of_gates)
        ]
        lines.append(
            f"{result.number:>2}  {result.path:<17} {result.status:<8} {cost[0]:>9} {cost[1]:>9}  {off_site:<12} "
            f"{arrived:<12} {chances[0]:>11} {chances[1]:>6}"
        )
        lines += [f"      {reason}" for reason in result.reasons]
    settings = ", ".join(f"{name} = {amount:g}" for name, amount in comparison.settings.items()) or "as the tables have it"
    made = f"Settings: {settings}. Seed {comparison.samples.seed}, {comparison.samples.trials:,} trials."
    lines += ["", made, comparison.spread_in_words]
    lines += [row.text for row in comparison.museum.cautions if "every" in row.screens]
    return "\n".join(lines) + "\n"


#: What makes the text of each form that the command line offers.
FORMATS = {"table": as_text, "csv": as_csv, "json": as_json}
