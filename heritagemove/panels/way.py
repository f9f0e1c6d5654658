"""The strip of a path's way on screen: its picture, and behind each mark the gate that it stands for."""

from __future__ import annotations

from html import escape

from heritagemove.answers.route import Mark, RouteStrip
from heritagemove.charts.route_strip import ROUTE_WORDS, Spot, route_spots, route_strip
from heritagemove.checks.margins import margin_briefly
from heritagemove.panels import markup
from heritagemove.units.measures import System, show_measure

#: Marks are buttons over the picture; a notebook takes the arrow keys for itself, so each is a stop of the Tab key.
_LOOK = """
.hm-way {position:relative; display:inline-block; max-width:100%}
.hm-way img {display:block}
.hm-way button {position:absolute; margin:0; padding:0; background:transparent; border:2px solid transparent;
  border-radius:4px; cursor:pointer}
.hm-way button:hover, .hm-way button:focus {border-color:#1a1a1a}
.hm-way button:focus-visible {outline:3px solid #1a5fb4; outline-offset:1px}
.hm-way [role=tooltip] {position:absolute; left:12%; right:1%; display:none; padding:8px 12px; box-sizing:border-box;
  font-size:14px; line-height:1.35; color:#1a1a1a; background:white; border:2px solid #1a1a1a; border-radius:4px; z-index:3}
.hm-way button:focus + [role=tooltip], .hm-way button:hover + [role=tooltip] {display:block}
.hm-way button:hover + [role=tooltip] {z-index:4}
"""


def way_on_screen(way: RouteStrip) -> str:
    """Return the strip of a way; a mark that is clicked, pointed at or reached by Tab shows its gate."""
    picture = markup.picture(route_strip(way))
    if not way.marks:
        return picture
    system = way.museum.scenario.units
    marks = "".join(_spot(spot, number, system, way.path) for number, spot in enumerate(route_spots(way)))
    hint = markup.note("Click a mark, or reach it with the Tab key, to see its gate: what is asked, the limit, the margin.")
    over = f'<div class="hm-way" role="group" aria-label="Marks of the way">{picture}{marks}</div>'
    return f"<style>{_LOOK}</style>{hint}{over}"


def _spot(spot: Spot, number: int, system: System, path: str) -> str:
    """Return a mark's button and what it shows, below the mark or, in the lower half of the picture, above it."""
    first, *others = spot.marks
    box = {"left": spot.left, "top": spot.top, "width": spot.width, "height": spot.height}
    place = ";".join(f"{side}:{share * 100:.2f}%" for side, share in box.items())
    below = spot.top + spot.height
    beside = f"top:{below * 100:.2f}%" if below < 0.6 else f"bottom:{(1 - spot.top) * 100:.2f}%"
    name, about = f"{first.about}, {first.where}: {_status(first)}", f"hm-gate-{path}-{number}"
    rest = "".join(f"<br>{escape(f'{mark.finding.gate.title} ({mark.where}): {_status(mark)}.')}" for mark in others)
    return (
        f'<button type="button" aria-label="{escape(name)}" aria-describedby="{about}" style="{place}"></button>'
        f'<div role="tooltip" id="{about}" style="{beside}">{_gate(first, system)}{rest}</div>'
    )


def _status(mark: Mark) -> str:
    finding = mark.finding
    return "not met" if finding.status == "fail" and finding.check is None else ROUTE_WORDS[finding.status]


def _gate(mark: Mark, system: System) -> str:
    """Return what a mark stands for: the gate, what was found, demand and limit, the margin, and the rule behind it."""
    finding, check = mark.finding, mark.finding.check
    told = [finding.found]
    if check is not None and None not in (check.demand, check.capacity):
        demand, limit = (show_measure(each, system) for each in (check.demand, check.capacity))
        margin = margin_briefly(check, system) or "none"
        told.append(f"Asked: {demand}. Limit: {limit}. Margin: {margin}.")
    rule = check.source if check is not None else finding.gate.rule
    told += [f"Rule: {rule}."] if rule else []
    lines = "<br>".join(escape(line) for line in told)
    return f"<b>{escape(mark.where)}: {escape(finding.gate.title)}, {_status(mark)}.</b><br>{lines}"
