"""Chart of one path's gates: how much of each limit is used, the worst first, and by how much it passes or fails."""

from __future__ import annotations

from collections.abc import Sequence

import pint
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from heritagemove.charts.drawing import Chart, axes_in, footnote, in_style, sheet, shorten
from heritagemove.charts.marks import colour_of, draw_mark
from heritagemove.charts.style_sheet import GREY, HALO, INK, SHEET, TEXT
from heritagemove.checks.gates.screening import Finding
from heritagemove.checks.margins import SIGNS, margin_in_words, percent_used
from heritagemove.museum.museum import Museum
from heritagemove.units.measures import System, show_measure

_WIDTH = SHEET
_ROW = 0.62
#: Bars end here; one that goes beyond says so.
_MOST = 1.5


def tint(colour: str) -> tuple[float, ...]:
    """Return a path's colour so pale that dark text stands on it."""
    return tuple(0.4 * part + 0.6 for part in to_rgb(colour))


def in_feet(length: pint.Quantity, system: System = "US") -> str:
    """Return a length in feet and inches, to a tenth of an inch, or in m or mm.

    Examples
    --------
    >>> from heritagemove.units.units import Quantity
    >>> in_feet(Quantity(14.5, "ft")), in_feet(Quantity(207.6, "in")), in_feet(Quantity(-2, "in"))
    ('14 ft 6 in', '17 ft 3.6 in', '-2 in')
    """
    if system == "SI":
        return show_measure(length, system)
    inches = round(abs(length.m_as("in")), 1)
    feet, rest = divmod(inches, 12)
    sign = "-" if length.magnitude < 0 and inches else ""
    return sign + (f"{feet:.0f} ft {round(rest, 1):g} in" if feet else f"{inches:g} in")


def worst_first(findings: Sequence[Finding]) -> list[Finding]:
    """Return the gates that a number, a measure or a survey fact decides: stops, unknowns, then by utilization."""
    shown = [f for f in findings if _used(f) is not None or f.status in ("fail", "unknown") or (f.check and _warns(f))]
    return sorted(shown, key=lambda f: (not _stops(f), f.status != "unknown", -(_used(f) or 0.0)))


def _used(finding: Finding) -> float | None:
    return finding.check.utilization if finding.check else None


def _stops(finding: Finding) -> bool:
    return finding.status == "fail" and finding.gate.kind == "hard_stop"


def _warns(finding: Finding) -> bool:
    return finding.status in ("marginal", "open")


def _words(finding: Finding, system: System) -> str:
    if finding.check:
        return margin_in_words(finding.check, system)
    return finding.found.rstrip(".")


def _briefly(finding: Finding, system: System) -> str:
    return _words(finding, system).partition(": ")[0]


def _share(used: float | None) -> str:
    """Return a utilization in per cent, with an arrow where its bar goes on beyond the chart."""
    return "" if used is None else f"{percent_used(used)}%{' ▶' if used > _MOST else ''}  "


def gate_finding(museum: Museum, path: str, findings: Sequence[Finding]) -> str:
    """Return which gate stops a path and by how much, as the title of its chart."""
    row, ordered, system = museum.path(path), worst_first(findings), museum.scenario.units
    name = f"Path {row.number}, {path.replace('_', ' ')}"
    if not ordered:
        return f"{name}: no gate of it hangs on a measurement"
    first = ordered[0]
    if _stops(first):
        more = sum(map(_stops, ordered)) - 1
        return f"{name}: stopped by “{first.gate.title}”, {_briefly(first, system)}" + (f"; and {more} more" if more else "")
    if first.status == "unknown":
        return f"{name}: unknown until “{first.gate.title}” is measured"
    tight = max((f for f in ordered if f.gate.kind == "hard_stop"), key=lambda f: _used(f) or 0.0, default=first)
    if _used(tight) is None:
        return f"{name}: nothing measured stops it; mind “{tight.gate.title}”"
    return f"{name}: nothing measured stops it; tightest is “{tight.gate.title}”, {_briefly(tight, system)}"


@in_style
def utilization_bars(
    museum: Museum, vehicle: str, path: str, findings: Sequence[Finding], figure: Figure | None = None
) -> Chart:
    """Draw how much of each limit one path uses, the worst first, with the margin on each bar.

    Parameters
    ----------
    museum : Museum
        At the weight that was screened.
    findings : sequence of Finding
        What the gates of this path found.
    """
    ordered, unit, system = worst_first(findings), museum.vehicle(vehicle), museum.scenario.units
    title = gate_finding(museum, path, findings)
    rows = max(len(ordered), 1)
    height = 2.45 + _ROW * rows
    figure = sheet(figure, _WIDTH, height, title)
    axes = axes_in(figure, 0.3, 1.35, 0.3, 1.1)
    axes.set(xlim=(0, _MOST), ylim=(rows - 0.5, -0.5), yticks=[])
    axes.set_xticks([0, 0.25, 0.5, 0.75, 1, 1.25, 1.5], ["0", "25", "50", "75", "100", "125", "150"])
    weight = "weight unknown" if unit.weight is None else f"{unit.name} at {show_measure(unit.weight, system)}"
    axes.set_xlabel(shorten(f"Share of the limit used [%]; {weight}", 90))
    axes.spines["left"].set_visible(False)
    axes.axvline(1, color=INK, linewidth=2, linestyle="--", zorder=3)
    axes.text(1, 1.01, "limit", transform=axes.get_xaxis_transform(), ha="center", va="bottom", weight="bold")
    way, above = museum.path(path), 1 + 0.16 / (_ROW * rows)
    draw_mark(axes, 0.012, above, way.number, size=13, transform=axes.transAxes)
    axes.text(0.032, above, f"{way.number}", weight="bold", va="center", transform=axes.transAxes)
    for row, finding in enumerate(ordered):
        _bar(axes, row, finding, colour_of(way.number), system)
    note = "✓ plain: within.  ! slanted: close to the limit, or allowed with care.  ✕ crossed: over.\n"
    note += "… slanted on white: somebody must grant it.  ? dotted: unknown, with what to measure.\n"
    note += "Screening only: who must confirm stands in the table."
    footnote(figure, note, TEXT)
    return Chart(figure, f"{title}. {weight}. " + " ".join(_in_words(f, system) for f in ordered))


def _bar(axes: Axes, row: int, finding: Finding, colour: str, system: System) -> None:
    used, status = _used(finding), finding.status
    weight = "bold" if status in ("fail", "unknown") else "normal"
    axes.text(0, row - 0.3, f"{SIGNS[status]} {finding.gate.title}", va="center", weight=weight, zorder=6)
    look = {
        "pass": {"facecolor": tint(colour), "edgecolor": INK},
        "marginal": {"facecolor": tint(colour), "edgecolor": INK, "hatch": "//"},
        "open": {"facecolor": "white", "edgecolor": INK, "hatch": "\\\\"},
        "fail": {"facecolor": "white", "edgecolor": INK, "hatch": "xx", "linewidth": 2.2},
        "unknown": {"facecolor": "white", "edgecolor": GREY, "hatch": "..", "linestyle": "--"},
    }[status]
    length = 1.0 if status == "unknown" else min(used or 0.0, _MOST)
    if length:
        axes.barh(row + 0.15, length, 0.46, **({"linewidth": 1.2} | look), zorder=2)
    words = shorten(_share(used) + _words(finding, system), 92)
    box = None if status == "pass" else {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
    axes.text(0.012, row + 0.15, words, va="center", zorder=5, bbox=box, path_effects=HALO)


def _in_words(finding: Finding, system: System) -> str:
    used = _used(finding)
    share = "" if used is None else f", {percent_used(used)}% of the limit"
    return f"{finding.gate.title}: {finding.status}{share}, {_words(finding, system).rstrip('.')}."
