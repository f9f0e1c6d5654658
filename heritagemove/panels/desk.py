"""Words and rows of the desk's main screen: the decision in two lines, and a line for each path that says what moved."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape

from heritagemove import charts
from heritagemove.charts.at_a_glance import gone_by
from heritagemove.charts.marks import short_name
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.panels import markup
from heritagemove.panels.glossed import GLOSS_STYLE, glossed
from heritagemove.trials.simulation import NEVER
from heritagemove.units.words import show_chance, show_date, show_rounded


def brief(comparison: Comparison) -> str:
    """Return the decision in two lines, told to a screen reader whenever it changes."""
    look = "font-size:14px;line-height:1.3;font-weight:600;margin:0;white-space:normal"
    return f'<p role="status" style="{look}">{escape(in_brief(comparison))}</p>'


def in_brief(comparison: Comparison) -> str:
    """Return what is to be done, by which meeting, for how much, and how surely; in words as plain as they can be."""
    return " ".join(_brief(comparison))


def _brief(comparison: Comparison) -> list[str]:
    museum, found = comparison.museum, comparison.decision
    name = museum.vehicle(comparison.vehicle).name
    if comparison.choice is None:
        return [f"{name}: {found.in_short}.", *found.why[:1]]
    best, currency = comparison.path(comparison.choice), museum.scenario.currency
    parts = [f"{best.title} (path {best.number}){', provisionally' if found.provisional_on else ''}."]
    if found.decide_by:
        parts.append(f"Decide by {show_date(found.decide_by)}.")
    if found.budget:
        ends = [f"likely sum {show_rounded(found.budget.likely)}"] if found.budget.likely is not None else []
        if found.budget.if_refused_mean is not None:
            ends.append(f"{show_rounded(found.budget.if_refused_mean)} on average if refused")
        told = f" ({'; '.join(ends)})" if ends else ""
        parts.append(f"Set aside {show_rounded(found.budget.at_confidence)} {currency}{told}.")
    chance = show_chance(found.chance_if_decided_then)
    return [*parts, f"{chance} to be gone by {show_date(museum.scenario.deadline)}."]


def in_full(comparison: Comparison) -> str:
    """Return the whole decision, to unfold."""
    return markup.unfold("The decision in full", markup.paragraph(comparison.sentence))


def rows(
    comparison: Comparison,
    before: Comparison | None,
    height: str,
    beside: Mapping[str, tuple[str, Comparison]] | None = None,
) -> str:
    """Return a line for each path: money, date and chance as the decision counts them, and what the last change moved.

    Parameters
    ----------
    height : str
        How high the lines may stand, in CSS; those below are scrolled to, by keyboard too.
    beside : mapping of str to tuple, optional
        By a letter, name and answer of inputs that were kept: each has a line of its own, above the paths.
    """
    currency = comparison.museum.scenario.currency
    headings = (f"Path; money in 1,000 {currency}", "Set aside", "Off site by", "In time", "Change", "In the way")
    seen: set[str] = set()
    head = "".join(f'<th scope="col" style="{_HEAD}">{glossed(text, seen)}</th>' for text in headings)
    body = "".join(_kept_row(comparison, letter, *kept) for letter, kept in (beside or {}).items())
    first = [comparison.choice, comparison.fallback]
    ordered = sorted(comparison.paths, key=lambda r: first.index(r.path) if r.path in first else len(first))
    body += "".join(_row(comparison, result, before) for result in ordered)
    name = escape(f"Paths of {comparison.museum.vehicle(comparison.vehicle).name}")
    look = "border-collapse:collapse;color:inherit;font-size:13px;line-height:1.25;width:100%"
    shown = f'<table aria-label="{name}" style="{look}"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'
    look = f"height:{height};overflow:auto"
    return f'<div role="region" tabindex="0" aria-label="{name}" style="{look}">{shown}</div>{GLOSS_STYLE}'


_CELL = "padding:1px 6px;text-align:left;border-bottom:1px solid #8884;white-space:nowrap"
_HEAD = _CELL + ";position:sticky;top:0;background:var(--jp-layout-color0, white);z-index:1"


def _kept_row(now: Comparison, letter: str, name: str, kept: Comparison) -> str:
    """Return the line of inputs that were kept: what they choose, and what moved from there to what is set now."""
    if kept.choice is None:
        said = f'<td style="{_CELL}" colspan="6">{escape(kept.decision.in_short)}</td>'
        return f'<tr><th scope="row" style="{_CELL};font-weight:bold">{letter} {escape(name)}</th>{said}</tr>'
    return _row(kept, kept.path(kept.choice), None, f"{letter} {name}: ", _against(now, kept))


def _against(now: Comparison, kept: Comparison) -> str:
    """Return how much more or less is to be set aside now than with what was kept."""
    if now.choice is None:
        return "now: no choice"
    many = round((now.decision.budget.at_confidence - kept.decision.budget.at_confidence) / 1000)
    return "now: as much" if not many else f"now: {'▲' if many > 0 else '▼'} {abs(many):,} thousand"


def _row(
    comparison: Comparison, result: PathResult, before: Comparison | None, called: str = "", against: str = ""
) -> str:
    role = {comparison.choice: " (choice)", comparison.fallback: " (fallback)"}.get(result.path, "")
    weight = "bold" if role else "normal"
    cells = (
        "unknown" if (money := comparison.set_aside(result)) is None else _thousands(money),
        gone_by(comparison, result),
        _chance(comparison, result),
        against or moved(comparison, result, before),
    )
    title = f"{escape(called)}{charts.chip(result.number, 14)} <b>{result.number}</b> {escape(short_name(result))}{role}"
    rest = "".join(f'<td style="{_CELL}">{escape(cell)}</td>' for cell in cells)
    way, cut = escape(in_the_way(comparison, result)), "max-width:0;width:40%;overflow:hidden;text-overflow:ellipsis"
    rest += f'<td style="{_CELL};{"white-space:normal" if role else cut}" title="{way}">{way}</td>'
    look = f"{_CELL};white-space:normal;max-width:15em" if called else _CELL
    return f'<tr><th scope="row" style="{look};font-weight:{weight}" title="{escape(result.title)}">{title}</th>{rest}</tr>'


def _thousands(amount: float) -> str:
    return f"{round(amount / 1000):,}"


def _chance(comparison: Comparison, result: PathResult) -> str:
    """Return how surely it is off the site in time: blocked is no chance, unknown none that is known."""
    if result.status == "blocked":
        return "blocked"
    chance = comparison.chance_all_in(result)
    return "unknown" if chance is None else f"{100 * chance:.0f} in 100"


def in_the_way(comparison: Comparison, result: PathResult) -> str:
    """Return the gate that stands first in a path's way, and how many more; or that it does not save the unit."""
    ranked = sorted(
        (f for f in result.findings if f.status not in ("pass", "marginal")),
        key=lambda f: ({"fail": 0, "unknown": 1}.get(f.status, 2), -f.refusal),
    )
    row = next(row for row in comparison.museum.paths if row.path == result.path)
    ends = [] if result.saves else ["the unit is lost" if row.disposal else "ends short of the museum"]
    more = f" (+{len(ranked) - 1} more)" if len(ranked) > 1 else ""
    return "; ".join([*ends, *(f.gate.title + more for f in ranked[:1])]) or "nothing found"


#: What the last change may have moved, as the line shows it: how it is read, in what it is told, and the least worth a word.
_MOVES: tuple[tuple[Callable[[Comparison, PathResult], float | None], float, str], ...] = (
    (lambda comparison, result: comparison.set_aside(result), 1000, "{} thousand"),
    (lambda comparison, result: comparison.gone_all_in(result), 1, "{} days"),
    (lambda comparison, result: comparison.chance_all_in(result), 0.01, "{} in 100"),
)


def moved(now: Comparison, result: PathResult, before: Comparison | None) -> str:
    """Return what the last change moved of a path's line, by arrow and words; a dash where it moved nothing."""
    if before is None or before is now:
        return "–"
    earlier, parts = before.path(result.path), []
    if result.status != earlier.status:
        return f"{earlier.status} → {result.status}"
    for of, unit, words in _MOVES:
        here, then = of(now, result), of(before, earlier)
        if here is None or then is None or NEVER in (here, then):
            continue
        many = round(here / unit) - round(then / unit)
        if many:
            parts.append(f"{'▲' if many > 0 else '▼'} {words.format(f'{abs(many):,}')}")
    return ", ".join(parts) or "–"
