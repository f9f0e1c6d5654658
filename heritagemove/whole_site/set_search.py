"""The search behind the best set: an integer linear program that bounds the cost, priced and cut in the joint trials.

A percentile of a sum is no linear function. But the mean of the cheapest trials up to the confidence is never above
the percentile, and the sum of the options' such means is never above that of their sum. The program therefore gives
sets in the order of a bound; each is priced in the joint trials, and it is cut off together with all that holds it
or something dearer. When the bound passes the best price found, that set is proved to be the cheapest. Where the sets
are few each one is priced: that is sooner done, and proves the same.
"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np

from heritagemove.whole_site import call_outs
from heritagemove.whole_site.call_outs import SharedPart, Visit
from heritagemove.whole_site.fleet import Option

#: Coefficients by column, lower and upper limit.
LinearLimit = tuple[Mapping[int, float], float, float]
Chosen = frozenset[int]
_Rows = tuple[Any, np.ndarray, np.ndarray]  # a sparse matrix, with the lower and the upper limits of its rows
_Objective = tuple[np.ndarray, _Rows]

#: The program counts money in this many USD: numbers near 1 keep the solver quick and exact.
_SCALE = 1e5
#: Up to so many sets each one is priced.
_FEW = 5_000


def lower_mean(values: np.ndarray, confidence: float) -> np.ndarray:
    """Return the mean of the lowest trials up to the confidence: at most their percentile.

    Parameters
    ----------
    values : ndarray, shape (..., trials)
    confidence : float
        0 to 1.

    Examples
    --------
    >>> float(lower_mean(np.array([5.0, 1.0, 2.0, 3.0, 4.0, 6.0]), 0.8))
    3.0
    """
    count = int(np.floor(confidence * (values.shape[-1] - 1))) + 1
    return np.sort(values, axis=-1)[..., :count].mean(axis=-1)


def _by_call_out(shared: Mapping[SharedPart, np.ndarray]) -> dict[tuple[str, str], np.ndarray]:
    """Return what a unit pays for each call-out and equipment, its parts together."""
    costs: dict[tuple[str, str], np.ndarray] = {}
    for (call_out, _, equipment), cost in shared.items():
        costs[call_out, equipment] = costs.get((call_out, equipment), 0.0) + cost
    return costs


class SetSearch:
    """The sets of some options, one path per unit, in the order of their cost at a confidence.

    Parameters
    ----------
    confidence : float
        0 to 1.
    must : iterable of str
        Units that have to be in the set.
    """

    def __init__(self, options: Sequence[Option], confidence: float, must: Iterable[str] = ()) -> None:
        # Whoever sets it False, from another thread too, stops the search: what is known by then is the answer.
        self.going = True
        self.options, self.confidence, self.must = tuple(options), confidence, tuple(must)
        self.points = np.array([option.points for option in options], dtype=float)
        self.own = np.array([option.own_usd for option in options]).reshape(len(self.options), -1)
        self.shared = [_by_call_out(option.shared) for option in options]
        self.call_outs = sorted({name for shared in self.shared for name in shared})
        self.in_turn = [name for name in sorted({o.turn.call_out for o in options if o.turn}) if not self._always_fits(name)]
        self.prices: dict[Chosen, float] = {frozenset(): 0.0}
        self._cuts: list[tuple[float, LinearLimit]] = []
        self._of_unit: dict[str, list[int]] = {}
        for j, option in sorted(enumerate(options), key=lambda pair: -float(pair[1].cost_usd.mean())):
            self._of_unit.setdefault(option.vehicle, []).append(j)
        self.few = math.prod(len(paths) + 1 for paths in self._of_unit.values()) <= _FEW

    @cached_property
    def _standing(self) -> _Rows:
        return self._matrix(list(self._one_path_a_unit()) + list(self._in_turn()))

    @cached_property
    def _bound(self) -> _Objective:
        return self._objective(*self._lower_means)

    @cached_property
    def _best_sets(self) -> tuple[tuple[Chosen, float], ...]:
        """The cheapest sets for their points, and these: each has more points than those before it, which are cheaper.

        Sets come by a bound of their cost. One whose bound is above the price of a set of as many points is not priced.
        """
        ways = [paths if unit in self.must else [None, *paths] for unit, paths in self._of_unit.items()]
        ways += [[] for unit in self.must if unit not in self._of_unit]
        sets = [frozenset(j for j in chosen if j is not None) for chosen in itertools.product(*ways)]
        best: list[tuple[Chosen, float]] = []
        for bound, chosen in sorted(((self._at_least(chosen), chosen) for chosen in sets), key=lambda pair: pair[0]):
            points = float(sum(self.points[list(chosen)]))
            least = min((self.price(each) for each, has in best if has >= points), default=np.inf)
            if bound < least and self.price(chosen) < least:
                best = [(each, has) for each, has in best if has > points or self.price(each) < self.price(chosen)]
                best.append((chosen, points))
        return tuple(sorted(best, key=lambda pair: pair[1]))

    def _at_least(self, chosen: Chosen) -> float:
        """Return what the price of a set is never below: means of its lowest trials, of each call-out the dearest [USD]."""
        own, shared = self._lower_means
        dearest: dict[tuple[str, str], float] = {}
        for j in chosen:
            for name, usd in shared[j].items():
                dearest[name] = max(dearest.get(name, 0.0), usd)
        return float(sum(own[j] for j in chosen) + sum(dearest.values()))

    @cached_property
    def _lower_means(self) -> tuple[np.ndarray, list[dict[tuple[str, str], float]]]:
        confidence = self.confidence
        shared = [{name: float(lower_mean(cost, confidence)) for name, cost in parts.items()} for parts in self.shared]
        return lower_mean(self.own, confidence), shared

    @property
    def _width(self) -> int:
        """Columns: one an option, the cost of each call-out, and when each one taken in turn begins and must be done."""
        return len(self.options) + len(self.call_outs) + 2 * len(self.in_turn)

    def _one_path_a_unit(self) -> Iterable[LinearLimit]:
        for vehicle in dict.fromkeys([*self.must, *(option.vehicle for option in self.options)]):
            yield {j: 1.0 for j, o in enumerate(self.options) if o.vehicle == vehicle}, float(vehicle in self.must), 1.0

    def _in_turn(self) -> Iterable[LinearLimit]:
        """A call-out begins when its last unit is ready, and its days must fit before the first that must be done."""
        first = len(self.options) + len(self.call_outs)
        end = max((option.turn.last for option in self.options if option.turn), default=0.0)
        for c, name in enumerate(self.in_turn):
            begins, done = first + 2 * c, first + 2 * c + 1
            days = {begins: 1.0, done: -1.0}
            for j, option in enumerate(self.options):
                if option.turn and option.turn.call_out == name:
                    yield {begins: 1.0, j: -option.turn.ready}, 0.0, np.inf
                    yield {done: 1.0, j: end - option.turn.last}, -np.inf, end
                    days[j] = option.turn.days
            yield {done: 1.0}, -np.inf, end
            yield days, -np.inf, 0.0

    def _always_fits(self, name: tuple[str, str]) -> bool:
        """Tell whether all units that could be on a call-out fit on it together, so that no row need say so."""
        turns = [(o.vehicle, o.turn) for o in self.options if o.turn and o.turn.call_out == name]
        longest = {unit: max(t.days for u, t in turns if u == unit) for unit, _ in turns}
        return max(t.ready for _, t in turns) + sum(longest.values()) <= min(t.last for _, t in turns)

    def _objective(self, own: np.ndarray, shared: Sequence[Mapping[tuple[str, str], float]]) -> _Objective:
        """Return costs by column, and the rows by which a call-out costs at least what each of its users would pay."""
        column = {name: len(self.options) + p for p, name in enumerate(self.call_outs)}
        cost = np.zeros(self._width)
        cost[: len(self.options)], cost[list(column.values())] = own / _SCALE, 1.0
        users = [(j, name, usd) for j, parts in enumerate(shared) for name, usd in parts.items()]
        return cost, self._matrix([({column[name]: 1.0, j: -usd / _SCALE}, 0.0, np.inf) for j, name, usd in users])

    def _matrix(self, rows: Sequence[LinearLimit]) -> _Rows:
        from scipy.sparse import csr_array  # here, and not above: importing it takes as long as pricing a hundred sets

        entries = [(r, column, value) for r, (row, _, _) in enumerate(rows) for column, value in row.items()]
        r, c, v = (np.array(side) for side in zip(*entries, strict=True)) if entries else (np.zeros(0, int),) * 3
        limits = np.array([(low, high) for _, low, high in rows]).reshape(-1, 2)
        return csr_array((v, (r, c)), shape=(len(rows), self._width)), limits[:, 0], limits[:, 1]

    def _solve(
        self,
        objective: _Objective,
        rows: Sequence[LinearLimit],
        seconds: float,
        goal: np.ndarray | None = None,
        gap: float = 0.0,
    ) -> tuple[Chosen | None, bool]:
        """Return a set that keeps to all rows and is least by the goal, and whether there is none at all."""
        from scipy.optimize import Bounds, LinearConstraint, milp  # here, and not above, as in _matrix
        from scipy.sparse import vstack

        cost, dear = objective
        blocks = [self._standing, dear, self._matrix(rows)]
        matrix, (low, high) = vstack([b[0] for b in blocks]), (np.concatenate([b[side] for b in blocks]) for side in (1, 2))
        n = len(self.options)
        answer = milp(
            cost if goal is None else goal,
            integrality=(np.arange(self._width) < n).astype(int),
            bounds=Bounds(np.zeros(self._width), np.concatenate([np.ones(n), np.full(self._width - n, np.inf)])),
            constraints=LinearConstraint(matrix, low, high),
            options={"mip_rel_gap": gap, "time_limit": max(seconds, 0.1)},
        )
        if answer.x is None:
            return None, answer.status == 2
        return frozenset(np.flatnonzero(answer.x[:n] > 0.5).tolist()), False

    def most_points(self, budget_usd: float, seconds: float = 4.0) -> int | None:
        """Return a number of points that no set within a budget exceeds, or None where no set is allowed at all."""
        if self.few:
            within = (points for chosen, points in self._best_sets if self.price(chosen) <= budget_usd)
            most = max(within, default=None)
            return None if most is None else int(most)
        rows = [(dict(enumerate(self._bound[0])), -np.inf, budget_usd / _SCALE)] if np.isfinite(budget_usd) else []
        goal = np.append(-self.points, np.zeros(self._width - len(self.points)))
        found, impossible = self._solve(self._bound, rows, seconds, goal)
        if impossible:
            return None
        everything = {option.vehicle: option.points for option in self.options}
        return sum(everything.values()) if found is None else int(sum(self.points[list(found)]))

    def grow(self, limit_usd: float) -> None:
        """Price sets that grow by the most points for their money within a limit: something to answer with when stopped."""
        chosen: Chosen = frozenset()
        value = self.points / np.maximum(np.array([option.cost_usd.mean() for option in self.options]), 1.0)
        for j in sorted(range(len(self.options)), key=lambda j: (self.options[j].vehicle not in self.must, -value[j])):
            taken = {self.options[k].vehicle for k in chosen}
            if self.options[j].vehicle not in taken and self.price(chosen | {j}) <= limit_usd:
                chosen |= {j}

    def visits(self, chosen: Chosen) -> tuple[Visit, ...] | None:
        """Return when the call-outs of a set are on the site, or None where they do not fit."""
        return call_outs.visits([self.options[j].turn for j in sorted(chosen) if self.options[j].turn])

    def cost_usd(self, chosen: Chosen) -> np.ndarray:
        """Return the joint cost of a set, shape (trials,) [USD]."""
        members = [self.options[j] for j in sorted(chosen)]
        if not members:
            return np.zeros(self.own.shape[1])
        return call_outs.joint_cost([o.own_usd for o in members], [o.shared for o in members])

    def price(self, chosen: Chosen) -> float:
        """Return the joint cost of a set at the confidence [USD]; infinite where its call-outs do not fit."""
        if chosen not in self.prices:
            fits = self.visits(chosen) is not None
            self.prices[chosen] = float(np.quantile(self.cost_usd(chosen), self.confidence)) if fits else np.inf
            if not fits:
                misfits = self._misfits(chosen)
                self._cuts.append((np.inf, (dict.fromkeys(misfits, 1.0), -np.inf, len(misfits) - 1.0)))
        return self.prices[chosen]

    def _misfits(self, chosen: Chosen) -> Chosen:
        """Return a smallest part of a set whose call-outs do not fit; whatever holds it does not fit either."""
        left = {j for j in chosen if self.options[j].turn}
        for j in sorted(left):
            if self.visits(frozenset(left - {j})) is None:
                left.remove(j)
        return frozenset(left)

    def _cut(self, chosen: Chosen, at_least: float) -> None:
        """Cut off a set with all that hold it, and with every exchange of paths that surely costs so much too [USD]."""
        groups = [[j] for j in sorted(chosen)]
        value = self.prices[chosen]
        for n, group in enumerate(groups):
            for k in self._of_unit[self.options[group[0]].vehicle]:
                wider = [*groups[:n], [*groups[n], k], *groups[n + 1 :]]
                if k != group[0] and (cost := self._box(wider)) >= at_least:
                    groups, value = wider, min(value, cost)
        row = {k: 1.0 for group in groups for k in group}
        if np.any(self.own < 0):
            # A unit that brings money in could make a larger set cheaper: only this very set is cut off.
            row = {j: 1.0 if j in chosen else -1.0 for j in range(len(self.options))}
        self._cuts.append((value, (row, -np.inf, len(groups) - 1.0)))

    def _box(self, groups: Sequence[Sequence[int]]) -> float:
        """Return a cost at the confidence that no set with one option of each group is below [USD].

        In each trial the cheapest own cost of each group, and for each part of a call-out the dearest of what
        every option of a group would pay.
        """
        cost = np.sum([self.own[group].min(axis=0) for group in groups], axis=0)
        charged: dict[SharedPart, np.ndarray] = {}
        for group in groups:
            shared = [self.options[k].shared for k in group]
            for part in set(shared[0]).intersection(*shared[1:]):
                paid = np.min([parts[part] for parts in shared], axis=0)
                charged[part] = np.maximum(charged[part], paid) if part in charged else paid
        return float(np.quantile(np.sum([cost, *charged.values()], axis=0), self.confidence))

    def cheapest(self, points: int, limit_usd: float, until: float) -> tuple[Chosen | None, bool]:
        """Return the cheapest set of at least so many points, and whether it is proved that none is cheaper.

        The dearest sets whose bound lies under the best price come first: they are cut off with most others.

        Parameters
        ----------
        limit_usd : float
            What costs more is not looked for [USD].
        until : float
            When to give up the proof, as time.process_time counts [second].

        Returns
        -------
        tuple of (Chosen or None, bool)
            The set may cost more than the limit; it is proved then that none keeps to it.
        """
        if self.few:
            return next((chosen for chosen, has in self._best_sets if has >= points), None), True
        pointed: LinearLimit = (dict(enumerate(self.points)), float(points), np.inf)
        best = self._good_start(pointed, until)
        while self.going and time.process_time() < until:
            least = np.inf if best is None else self.prices[best]
            ceiling = min(least, limit_usd)
            rows = [pointed, *(cut for value, cut in self._cuts if value >= least or value > limit_usd)]
            if np.isfinite(ceiling):
                rows.append((dict(enumerate(self._bound[0])), -np.inf, ceiling / _SCALE))
            found, impossible = self._solve(self._bound, rows, until - time.process_time(), -self._bound[0], gap=0.05)
            if impossible or found == frozenset():
                return best, True
            if found is None:
                break
            if self.price(found) < least:
                best = found
            if np.isfinite(self.prices[found]):
                self._cut(found, min(self.prices[found], least, limit_usd * (1 + 1e-9)))
        return best, False

    def _good_start(self, pointed: LinearLimit, until: float) -> Chosen | None:
        """Return the best set known, after a few that are cheapest by the trials around the last one's percentile."""
        objective, last = self._bound, None
        for _ in range(3 if self.going else 0):
            misfits = [cut for value, cut in self._cuts if np.isinf(value)]
            found, _ = self._solve(objective, [pointed, *misfits], until - time.process_time(), gap=0.01)
            if found is None or found == last:
                break
            self.price(found)
            near = self._near(found)
            shared = [{name: float(cost[near].mean()) for name, cost in parts.items()} for parts in self.shared]
            objective, last = self._objective(self.own[:, near].mean(axis=1), shared), found
        able = [key for key, price in self.prices.items() if np.isfinite(price) and self._allowed(key, pointed)]
        return min(able, key=self.prices.get, default=None)

    def _near(self, chosen: Chosen) -> np.ndarray:
        """Return the trials whose joint cost lies next to the percentile."""
        order = np.argsort(self.cost_usd(chosen), kind="stable")
        middle, half = round(self.confidence * (len(order) - 1)), max(len(order) // 20, 1)
        return order[max(middle - half, 0) : middle + half + 1]

    def _allowed(self, chosen: Chosen, pointed: LinearLimit) -> bool:
        """Tell whether a set that is priced has the points and the units that must be in it."""
        units = {self.options[j].vehicle for j in chosen}
        return sum(self.points[list(chosen)]) >= pointed[1] and units.issuperset(self.must)
