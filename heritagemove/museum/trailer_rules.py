"""Rules of trailer_axles.csv: groups of axles that together are a trailer which can stand."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import Any

from heritagemove.files.tables import Problem
from heritagemove.museum.references import problem, shown

#: How far the empty weights of the axles may be from the trailer's own: scale tickets are no better.
_NEAR = 0.02


def standing_trailers(museum: Any) -> Iterable[Problem]:
    """Find groups of axles that do not add up to their trailer, and hitches on which nothing could rest."""
    for trailer in museum.trailers:
        rows = [row for row in museum.trailer_axles if row.trailer == trailer.trailer]
        if not rows:
            continue
        counted, placed = sum(row.axles for row in rows), len(trailer.axle_positions)
        if counted != placed:
            allowed = f"groups of {placed} axles together, as trailers.csv places them; these are {counted}"
            yield problem("trailer_axles", rows[-1], "axles", allowed)
            continue
        empty = sum(row.empty.m_as("lb") for row in rows)
        if abs(empty - trailer.tare.m_as("lb")) > _NEAR * trailer.tare.m_as("lb"):
            allowed = f"weights that add up to the tare of the trailer, {shown(trailer.tare)}, within {_NEAR:.0%}"
            yield problem("trailer_axles", rows[-1], "empty", allowed)
        yield from _standing(rows, trailer.axle_positions)


def _standing(rows: list[Any], positions: tuple[float, ...]) -> Iterable[Problem]:
    if all(row.part != "deck" for row in rows):
        yield problem("trailer_axles", rows[0], "part", "one group at least of the deck, on which the load stands")
    places = iter(positions)
    last_axle = {row.group: list(itertools.islice(places, row.axles))[-1] for row in rows}
    for part in dict.fromkeys(row.part for row in rows):
        own = [row for row in rows if row.part == part]
        hitched = [row for row in own if row.hitch is not None]
        if len(own) > 2 and not hitched and part not in ("pusher", "booster"):
            yield problem("trailer_axles", own[2], "part", "at most two groups of a part that has no hitch")
        for row in hitched:
            if own[0] is rows[0]:
                yield problem("trailer_axles", row, "hitch", "blank: nothing stands before the first part")
            elif not row.hitch.m_as("ft") < last_axle[own[0].group]:
                allowed = f"ahead of its own axles, less than {last_axle[own[0].group]:g} ft"
                yield problem("trailer_axles", row, "hitch", allowed)
