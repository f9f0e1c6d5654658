"""What each axle of a loaded trailer carries: statics of truck, jeep, deck and booster, from where the load stands.

Each part is a rigid beam. One with a hitch rests in front on the part before it and behind on its own axles, which share
by their suspension; one without stands on its own axles alone. Screening only: the hauler weighs the loaded trailer.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pint

from heritagemove.checks.check import Check, compared, unknown
from heritagemove.units.ranges import not_negative, positive
from heritagemove.units.units import Quantity, show, value

_SOURCE = "Statics of rigid beams on hitch and axles; shares of the suspension by the trailer's row"


@dataclass(frozen=True)
class AxleGroup:
    """Axles that stand together under one part of a trailer and carry alike."""

    part: str  # truck, jeep, deck, booster: from the front; a booster shares what the deck's own axles carry
    positions: tuple[float, ...]  # rising [ft]
    empty: pint.Quantity  # what they carry without a load, together
    limit: pint.Quantity  # what one of them may carry
    hitch: float | None = None  # where its part rests on the part before it [ft]; None where it stands alone
    share: float | None = None  # its part of what the axles of its part carry; None: as its axles count

    @property
    def centre(self) -> float:
        """The middle of its axles [ft]."""
        return sum(self.positions) / len(self.positions)


def axle_loads(groups: Sequence[AxleGroup], load: pint.Quantity, place: pint.Quantity) -> pint.Quantity:
    """Return what each group carries: the load at its centre of gravity, passed on from part to part by moments.

    On a part with a hitch at h and axles at c, W at x puts W (x - h) / (c - h) on the axles and the rest on the hitch,
    which loads the part before it there. Two groups without a hitch carry a beam between them; one carries all.

    Parameters
    ----------
    groups : sequence of AxleGroup
        From the front.
    load : pint.Quantity
        W, with its blocking and chains, at least 0 [lb].
    place : pint.Quantity
        x, its centre of gravity, behind the first axle [ft].

    Returns
    -------
    pint.Quantity
        Array of shape (groups,): load and empty weight of each; below 0 where it would lift off [lb].

    Raises
    ------
    ValueError
        If no group is of a deck, or a part that stands alone has more than two groups.

    References
    ----------
    Statics.

    Examples
    --------
    >>> tons = Quantity(1000, "lb")
    >>> truck = [AxleGroup("truck", (0.0,), 11 * tons, 13 * tons), AxleGroup("truck", (16.0, 20.0), 9 * tons, 20 * tons)]
    >>> deck = AxleGroup("deck", (52.0, 56.0, 60.0), 16 * tons, 20 * tons, hitch=16.0)
    >>> axle_loads([*truck, deck], 40 * tons, Quantity(36, "ft")).m_as("lb").round().tolist()
    [13222.0, 26778.0, 36000.0]
    """
    found = [positive(group.empty, "lb", "empty weight of the axles") for group in groups]
    names = [_carrier(group.part) for group in groups]
    if "deck" not in names:
        raise ValueError(f"give a deck for the load; found {', '.join(dict.fromkeys(names)) or 'nothing'}")
    parts = [part for part in dict.fromkeys(names) if part != "pusher"]
    weight_lb, at_ft = not_negative(load, "lb", "load"), value(place, "ft", "place of the load")
    for part in reversed(parts[: parts.index("deck") + 1]):
        mine = [number for number, name in enumerate(names) if name == part]
        hitch_ft = next((groups[number].hitch for number in mine if groups[number].hitch is not None), None)
        if hitch_ft is None:
            for number, share in zip(mine, _alone(part, [groups[n] for n in mine], at_ft), strict=True):
                found[number] += weight_lb * share
            break
        shares = _shares([groups[number] for number in mine])
        axles_ft = sum(share * groups[number].centre for share, number in zip(shares, mine, strict=True))
        if not axles_ft > hitch_ft:
            raise ValueError(f"hitch of the {part} must be ahead of its axles, {axles_ft:g} ft; found {hitch_ft:g} ft")
        own = (at_ft - hitch_ft) / (axles_ft - hitch_ft)
        for number, share in zip(mine, shares, strict=True):
            found[number] += weight_lb * own * share
        weight_lb, at_ft = weight_lb * (1 - own), hitch_ft
    else:
        raise ValueError(f"the first part must stand on its own axles; the {parts[0]} has a hitch")
    return Quantity(np.array(found), "lb")


def layout(groups: Sequence[AxleGroup], loads: pint.Quantity) -> tuple[pint.Quantity, pint.Quantity]:
    """Return place [ft] and load [lb] of each axle, the axles of a group alike.

    Parameters
    ----------
    groups : sequence of AxleGroup
    loads : pint.Quantity
        As :func:`axle_loads` returns them.
    """
    places = list(itertools.chain.from_iterable(group.positions for group in groups))
    counts = [len(group.positions) for group in groups]
    return Quantity(np.array(places), "ft"), Quantity(np.repeat(loads.m_as("lb") / counts, counts), "lb")


def own_axle_limits(
    groups: Sequence[AxleGroup],
    loads: pint.Quantity | None,
    subject: str,
    source: str,
    shown: Callable[[pint.Quantity], str] = show,
) -> Check:
    """Check each axle of a loaded trailer against what its own group allows; the worst answers.

    Parameters
    ----------
    groups : sequence of AxleGroup
    loads : pint.Quantity or None
        As :func:`axle_loads` returns them; None is unknown.
    subject, source : str
        Which trailer, and where the limits come from.
    shown : callable
        Says a weight in the museum's units.

    Returns
    -------
    Check
        Demand and capacity: one axle of the worst group [lb]; margin: weight the whole trailer may gain, every axle in
        proportion [lb].

    References
    ----------
    Statics. Limit: the hauler's axle and tire ratings, never more than the permit.

    Examples
    --------
    >>> pound = Quantity(1, "lb")
    >>> groups = [AxleGroup("truck", (0.0,), pound, 13000 * pound), AxleGroup("deck", (40.0, 44.0), pound, 20000 * pound)]
    >>> check = own_axle_limits(groups, Quantity([12000, 42000], "lb"), "lowboy", "row")
    >>> check.status, check.subject, show(check.demand)
    ('fail', 'lowboy, each of axles 2 to 3', '21,000 lb')
    """
    name = "Trailer axle load"
    if loads is None:
        return unknown(name, subject, "weigh the load and ask the hauler where it stands on the deck", source)
    group_lb = loads.m_as("lb")
    numbers = np.cumsum([0, *(len(group.positions) for group in groups)])
    named = [_axles(numbers[k] + 1, numbers[k + 1]) for k in range(len(groups))]
    if group_lb.min() <= 0:
        k = int(group_lb.argmin())
        note = f"The load stands where {named[k]} would lift off the road: have the hauler move it along the deck."
        return Check(name, f"{subject}, {named[k]}", None, None, "fail", None, source, note)
    one_lb = group_lb / np.diff(numbers)
    most_lb = np.array([positive(group.limit, "lb", "axle limit") for group in groups])
    k = int(np.argmax(np.round(one_lb / most_lb, 9)))
    margin = Quantity(float(group_lb.sum() * (most_lb[k] / one_lb[k] - 1)), "lb")
    each = named[k] if len(groups[k].positions) == 1 else f"each of {named[k]}"
    note = f"{shown(Quantity(float(group_lb.sum()), 'lb'))} in all. The hauler's scale tickets of the loaded trailer decide."
    demand_lb, limit_lb = round(float(one_lb[k]), 6), round(float(most_lb[k]), 6)
    return compared(name, f"{subject}, {each}", demand_lb, limit_lb, "lb", source, note, margin)


def off_tracking_lengths(groups: Sequence[AxleGroup], steered: pint.Quantity) -> pint.Quantity:
    """Return the lengths that off-track: the truck's own, each hitch offset with a minus, each trailer's.

    Parameters
    ----------
    groups : sequence of AxleGroup
    steered : pint.Quantity
        What steering leaves of the last trailer's wheelbase, at most what stands between its hitch and its axles [ft].

    Returns
    -------
    pint.Quantity
        Array as :func:`swept_path.off_tracking` takes it [ft].

    References
    ----------
    NCHRP Report 505: a hitch ahead of the axles it rests on counts with the other sign.
    """
    lengths, before = [], None
    for _, rows in itertools.groupby((g for g in groups if g.part != "pusher"), lambda group: _carrier(group.part)):
        part = tuple(rows)
        hitch = next((group.hitch for group in part if group.hitch is not None), None)
        shares = _shares(part)
        centre = sum(share * group.centre for share, group in zip(shares, part, strict=True))
        if before is None:
            lengths, before = [part[-1].centre - part[0].centre], part[-1].centre
            continue
        front = before if hitch is None else hitch
        lengths += [-abs(before - front)] * (front != before) + [centre - front]
        before = centre
    lengths[-1] = min(lengths[-1], positive(steered, "ft", "effective wheelbase"))
    return Quantity(np.array(lengths), "ft")


def deck_centre(groups: Sequence[AxleGroup]) -> float:
    """Return where the axles of the deck stand, booster included, by their shares [ft]."""
    deck = [group for group in groups if _carrier(group.part) == "deck"]
    return sum(share * group.centre for share, group in zip(_shares(deck), deck, strict=True))


def _carrier(part: str) -> str:
    return "deck" if part == "booster" else part


def _shares(groups: Sequence[AxleGroup]) -> list[float]:
    weights = [float(len(g.positions)) if g.share is None else g.share for g in groups]
    if not sum(weights) > 0:
        raise ValueError("shares of a part must be more than 0 together; found 0")
    return [weight / sum(weights) for weight in weights]


def _alone(part: str, groups: Sequence[AxleGroup], at_ft: float) -> list[float]:
    if len(groups) == 1:
        return [1.0]
    if len(groups) > 2:
        raise ValueError(f"the {part} has no hitch: give it at most 2 groups of axles; found {len(groups)}")
    front, rear = (group.centre for group in groups)
    behind = (at_ft - front) / (rear - front)
    return [1 - behind, behind]


def _axles(first: int, last: int) -> str:
    return f"axle {first}" if first == last else f"axles {first} to {last}"
