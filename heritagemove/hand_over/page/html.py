"""The page as HTML: the content, the charts, a template; no arithmetic."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from importlib import resources
from typing import Any
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from heritagemove import charts
from heritagemove.charts.at_a_glance import at_a_glance
from heritagemove.charts.fleet import money_against_significance, shared_call_out
from heritagemove.charts.funding import bank_balance, sets_the_money_carries
from heritagemove.charts.tracking import cost_fan
from heritagemove.charts.unit_drawing import unit_drawing
from heritagemove.compare.results import Comparison
from heritagemove.following.tracking import Forecast
from heritagemove.hand_over.page.content import content
from heritagemove.hand_over.page.following import forecasts_of
from heritagemove.hand_over.page.plain import sentences
from heritagemove.hand_over.page.site import Site
from heritagemove.units.words import show_date


def render(
    comparisons: Comparison | Sequence[Comparison],
    made_on: dt.date | None = None,
    progress: Callable[[str], None] | None = None,
    scenarios: Mapping[str, Comparison] | None = None,
    site: Site | None = None,
) -> str:
    """Return the page of one unit, or of several units of one museum, as HTML text.

    Parameters
    ----------
    made_on : datetime.date, optional
        Date to print; today by default. Nothing else changes between two runs on the same inputs.
    progress : callable, optional
        Told what is being drawn.
    scenarios : mapping of str to Comparison, optional
        Saved scenarios by name, each set beside the answer for the same unit.
    site : Site, optional
        The units together, as :func:`heritagemove.hand_over.page.site.site_of` finds them.
    """
    several = (comparisons,) if isinstance(comparisons, Comparison) else tuple(comparisons)
    forecasts = {comparison.vehicle: forecasts_of(comparison) for comparison in several}
    return with_pictures(several, content(several, made_on, scenarios, site, forecasts), forecasts, progress, site)


def with_pictures(
    several: Sequence[Comparison],
    said: Mapping[str, Any],
    forecasts: Mapping[str, tuple[Forecast, ...]],
    progress: Callable[[str], None] | None = None,
    site: Site | None = None,
) -> str:
    """Return the page of one unit or several, of which it is known what it says, as HTML text.

    Parameters
    ----------
    said : mapping
        As :func:`heritagemove.hand_over.page.content.content` returns it.
    forecasts : mapping of str to tuple of Forecast
        By unit, what follows from its books.
    """
    say = progress or (lambda _: None)
    pictures = [_pictures(comparison, say, len(several) == 1, forecasts[comparison.vehicle]) for comparison in several]
    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(_template), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True
    )
    environment.filters |= {"usd": _usd, "chance": charts.show_chance, "date": _date, "sentences": sentences}
    return environment.get_template("page.html.j2").render(
        page=said,
        units=[{"said": unit, "pictures": drawn} for unit, drawn in zip(said["units"], pictures, strict=True)],
        together=site and _together(site, say),
        chip=lambda number: Markup(charts.chip(number)),
        style=_template("page.css"),
    )


def _pictures(
    comparison: Comparison, progress: Callable[[str], None], alone: bool, forecasts: tuple[Forecast, ...]
) -> dict[str, Any]:
    """Draw one unit's charts; on the page of several, some stand on the page of the unit alone only."""
    name = comparison.museum.vehicle(comparison.vehicle).name
    progress(f"{name}: the decision")
    pictures: dict[str, Any] = {
        "glance": _image(at_a_glance(comparison)),
        "main": _image(charts.cost_against_date(comparison)) if alone else None,
        "budget": _image(charts.budget_bars(comparison)) if comparison.choice else None,
        "chances": _image(charts.chances(comparison)) if alone else None,
        "order_dates": _image(charts.order_dates(comparison)),
        "following": _image(cost_fan(forecasts)) if forecasts else None,
    }
    for role, path in (("choice", comparison.choice), ("fallback", comparison.fallback)):
        if path is None:
            continue
        progress(f"{name}: the {role}")
        result = comparison.path(path)
        movers = ("cost", "off_site") if result.off_site else ("cost",)
        pictures[role] = {
            "tasks": _image(charts.task_bars(comparison, path)),
            "phases": _image(charts.cost_by_phase(comparison, path)),
            "months": _image(charts.money_by_month(comparison, path)) if alone and result.branch else None,
            "both": _image(charts.joint_chances(comparison, path)) if alone and result.branch and role == "choice" else None,
            "movers": [_image(charts.tornado(comparison, path, on)) for on in movers if alone or role == "choice"],
        }
        if "outline" not in pictures:
            pictures["outline"] = _image(unit_drawing(comparison.museum, comparison.vehicle, path))
    return pictures


def _together(site: Site, progress: Callable[[str], None]) -> dict[str, Any]:
    """Draw what the units cost, share and need together."""
    progress("the units together")
    fleet = site.fleet
    return {
        "sets": _image(money_against_significance(site.decided, site.sure_usd)),
        "crane": _image(shared_call_out(site.parties)) if len(site.parties) > 1 else None,
        "bank": _image(bank_balance(site.bank)) if site.bank else None,
        "lost": _image(sets_the_money_carries(site.carried, site.without_grant, fleet.confidence, site.grant.title))
        if site.grant
        else None,
    }


def _image(chart: charts.Chart) -> dict[str, Any]:
    # Percent-encoding only what an address must not hold is a fifth smaller than base64.
    data = quote(charts.svg(chart).decode().replace('"', "'"), safe="!$&'()*+,-./:;=?@_~")
    width, height = (round(96 * inches) for inches in chart.figure.get_size_inches())
    address = Markup("data:image/svg+xml," + data.replace("&", "%26"))
    return {"src": address, "alt": chart.alt, "width": width, "height": height}


def _template(name: str) -> str:
    return resources.files("heritagemove.hand_over.page").joinpath("templates", name).read_text(encoding="utf-8")


def _usd(value: float | None) -> str:
    return "unknown" if value is None else f"{value:z,.0f}"


def _date(value: str | None) -> str:
    return "–" if value is None else show_date(dt.date.fromisoformat(value))
