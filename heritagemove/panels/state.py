"""The desk: museum, unit, what is set and the answer to it, which all screens of a notebook share."""

from __future__ import annotations

import contextlib
import dataclasses
import time
from collections.abc import Callable, Iterator
from typing import Any

import traitlets

from heritagemove.compare.decided import Decision
from heritagemove.compare.inputs import Inputs, answer, as_set
from heritagemove.compare.results import Comparison
from heritagemove.following.tracking import Forecast, follow, followed
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum
from heritagemove.panels import markup
from heritagemove.trials import simulation
from heritagemove.whole_site.site_decision import SiteDecision, whole_site_decision

#: Changes of the same input that follow each other within so long are one: a slider that is dragged [s].
_ONE_MOVE = 1.0


class Desk(traitlets.HasTraits):
    """Museum, unit, inputs and answer of one notebook. A screen reads and watches; only `change` and `turn_to` set anything.

    Traits
    ------
    inputs : Inputs
        What is set, as the last good answer has it.
    error : str
        Why the last change was refused, or which panel could not follow; escaped markup, blank where all is well.

    Attributes
    ----------
    base : Museum
        The museum as its tables say.
    memo : Memo
        What the last answers were made of.
    previous : Comparison or None
        The answer before the last change; before all of a slider's drag, however many steps it took. None where
        nothing is set any more.

    Examples
    --------
    >>> desk = Desk(museum, "foundry_switcher")                        # doctest: +SKIP
    >>> desk.watch(lambda: show(desk.comparison))                      # doctest: +SKIP
    >>> desk.change("Crane hours", settings={"crane_hours": 30.0})     # doctest: +SKIP
    """

    inputs = traitlets.Instance(Inputs)
    error = traitlets.Unicode("")

    def __init__(
        self,
        museum: Museum,
        vehicle: str | None = None,
        samples: simulation.Samples | None = None,
        comparison: Comparison | None = None,
    ):
        """Begin with what the tables say; samples, or a comparison with nothing set, may have been made before."""
        super().__init__(inputs=Inputs(_unit(museum, vehicle)))
        self.head: Any = None  # the line at the head of the notebook, which takes the tools of a screen; None without one
        self._turning: list[Callable[[], Any]] = []
        self._begin(museum, samples, comparison)

    def _begin(self, museum: Museum, samples: simulation.Samples | None, comparison: Comparison | None = None) -> None:
        """Lay out a museum, with nothing set."""
        self.base, self.memo = museum, Memo()
        self._comparison = comparison
        self._museum = museum
        self._samples = comparison.samples if comparison else samples or simulation.draw(museum)
        self._for = _key(self.inputs)
        self._together: dict[str, tuple[Any, Any]] = {}  # what is found of all units, or of the move, and for what
        self._watchers: list[tuple[Callable[[], Any], tuple[str, ...]]] = []
        self._waiting: dict[str, Any] | None = None
        self.previous: Comparison | None = None
        self._past: list[Inputs] = []
        self._undone: list[Inputs] = []
        self._moved: tuple[set[str], float] = (set(), 0.0)
        self._standing: Decision | None = None  # the last that was searched, for the unit it was searched for
        self._since_search: set[str] = set()  # what was set since

    @property
    def museum(self) -> Museum:
        """The museum with the dates and the tolerance that are set."""
        return self._museum

    @property
    def samples(self) -> simulation.Samples:
        """The draws, made once; only what is changed is drawn again."""
        return self._samples

    @property
    def vehicle(self) -> str:
        """Id of the unit."""
        return self.inputs.vehicle

    @property
    def settings(self) -> dict[str, float]:
        """Amounts set by driver, in the drivers' units."""
        return dict(self.inputs.settings)

    @property
    def comparison(self) -> Comparison:
        """The answer to what is set, or the last good one where a change was refused; computed once."""
        if self._comparison is None:
            self._take(self.inputs)
        return self._comparison

    @property
    def site(self) -> SiteDecision:
        """The decision on all units of the museum together, with what is set; searched when it is first asked for."""
        alone = self.inputs if self.settings else None
        return self._once(
            "site",
            (self._for, alone),
            lambda: whole_site_decision(self.museum, samples=self.samples, known={self.vehicle: self.comparison}),
        )

    @property
    def moves(self) -> tuple[Forecast, ...]:
        """The forecasts of the unit's move as it happens, up to the last day of its books; empty where nothing has begun."""
        begun = followed(self.base, self.vehicle)
        return self._once("moves", self.comparison, lambda: follow(self.comparison, *begun)) if begun else ()

    def _once(self, name: str, key: Any, make: Callable[[], Any]) -> Any:
        """Return what was made for these inputs, or make it."""
        held = self._together.get(name)
        if held is None or (held[0] is not key and held[0] != key):
            held = self._together[name] = (key, make())
        return held[1]

    def turn_to(self, museum: Museum, vehicle: str | None = None) -> None:
        """Turn to another museum with nothing set: every screen is made anew.

        Parameters
        ----------
        vehicle : str, optional
            Id of the unit; the first of vehicles.csv when left out.
        """
        vehicle, samples = _unit(museum, vehicle), simulation.draw(museum)
        self.error, self.inputs = "", Inputs(vehicle)
        self._begin(museum, samples)
        for callback in self._turning:
            callback()

    def turning(self, callback: Callable[[], Any]) -> None:
        """Call back when the desk has turned to another museum; whoever watched the one before watches no longer."""
        self._turning.append(callback)

    def change(self, name: str, moving: bool = False, **inputs: Any) -> bool:
        """Set inputs, compare, and tell those who watch them; nothing changes where that fails.

        Parameters
        ----------
        name : str
            What the planner moved, to name in an error.
        moving : bool
            Whether it moves on: the decision that stands is then played again, and searched anew by :meth:`rest`.
        **inputs
            Fields of :class:`heritagemove.compare.inputs.Inputs`.

        Returns
        -------
        bool
            Whether it was taken.
        """
        if self._waiting is not None:
            self._waiting |= {"name": name, "inputs": self._waiting.get("inputs", {}) | inputs}
            return True
        wanted, before = dataclasses.replace(self.inputs, **inputs), self.inputs
        if wanted == before and not self.error:
            return True
        shown = self._comparison
        if not self._turn(name, wanted, moving):
            return False
        moved, now = _moved(before, wanted), time.monotonic()
        if moved and (moved != self._moved[0] or now - self._moved[1] > _ONE_MOVE):
            self._past.append(before)
            self._leave(shown, wanted)
        self._undone, self._moved = [], (moved, now)
        self._since_search = self._since_search | moved if moving else set()
        self._tell(moved)
        return True

    @property
    def can_undo(self) -> bool:
        """Whether a change can be taken back."""
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        """Whether a change that was taken back can be made again."""
        return bool(self._undone)

    def undo(self) -> None:
        """Take the last change back."""
        self._step("Undo", self._past, self._undone)

    def redo(self) -> None:
        """Make the change again that was taken back last."""
        self._step("Redo", self._undone, self._past)

    def _step(self, name: str, taken: list[Inputs], kept: list[Inputs]) -> None:
        if not taken:
            return
        before, shown = self.inputs, self._comparison
        if self._turn(name, taken[-1]):
            kept.append(before)
            wanted = taken.pop()
            self._leave(shown, wanted)
            self._moved = (set(), 0.0)
            self._tell(_moved(before, wanted))

    def _leave(self, shown: Comparison | None, wanted: Inputs) -> None:
        """Remember an answer as the one before; of another unit, and where nothing is set any more, none is."""
        plain = wanted == Inputs(wanted.vehicle) or (shown and shown.vehicle != wanted.vehicle)
        self.previous = None if plain else shown

    def _turn(self, name: str, wanted: Inputs, moving: bool = False) -> bool:
        """Answer other inputs and hold them; where that fails say why and hold what was held."""
        try:
            self._take(wanted, moving)
        except Exception as error:
            self.error = markup.alert(name, error, "What is shown is the last good answer, from before this.")
            return False
        self.error, self.inputs = "", wanted
        return True

    def rest(self) -> None:
        """Search the decision anew after what moved has come to rest, and tell those who watch it."""
        if not self.comparison.decision.replayed:
            return
        try:
            self._comparison = answer(self._museum, self.inputs, self._samples, self.memo)
            self._standing = self._comparison.decision
        except Exception as error:
            self.error = markup.alert("The search", error, "What is shown is the decision that stood before, played again.")
            return
        changed, self._since_search = self._since_search, set()
        self._tell(changed)

    @contextlib.contextmanager
    def together(self) -> Iterator[None]:
        """Take up all changes of a block as one: one comparison, one notice."""
        self._waiting = {}
        try:
            yield
        finally:
            waiting, self._waiting = self._waiting, None
        if waiting:
            self.change(waiting["name"], **waiting["inputs"])

    def reset(self) -> None:
        """Go back to what the tables say of the unit."""
        plain = {field.name: field.default for field in dataclasses.fields(Inputs) if field.name != "vehicle"}
        self._moved = (set(), 0.0)
        self.change("Reset", **(plain | {"settings": {}}))
        self._moved = (set(), 0.0)

    def watch(self, callback: Callable[[], Any], reads: tuple[str, ...] = ()) -> None:
        """Call back, without arguments, after a change of what the callback reads.

        Parameters
        ----------
        callback : callable
            One that fails leaves a line in `error`; the others are called all the same.
        reads : tuple of str, optional
            Fields of Inputs it depends on; all of them when left out.
        """
        self._watchers.append((callback, reads))

    def _take(self, inputs: Inputs, moving: bool = False) -> None:
        """Answer these inputs; while they move, with the decision that stands."""
        museum = as_set(self.base, inputs)
        key = _key(inputs)
        if key == self._for:
            museum, samples = self._museum, self._samples
        else:
            samples = simulation.draw(museum, previous=self._samples)
        known, standing = self._comparison, None
        if known is not None and inputs.vehicle == known.vehicle and moving:
            standing = self._standing or known.decision
        set_now = key, inputs.vehicle, inputs.settings
        same = known is not None and set_now == (self._for, known.vehicle, known.settings)
        if not same or (known.decision.replayed and not moving):
            known = answer(museum, inputs, samples, self.memo, standing)
        if not known.decision.replayed:
            self._standing = known.decision
        self._museum, self._samples, self._for, self._comparison = museum, samples, key, known

    def _tell(self, changed: set[str]) -> None:
        for callback, reads in self._watchers:
            if reads and not changed & set(reads):
                continue
            try:
                callback()
            except Exception as error:
                self.error = markup.alert("A panel could not follow", error, "It shows what it showed before.")


def _unit(museum: Museum, vehicle: str | None) -> str:
    return museum.vehicles[0].vehicle if vehicle is None else museum.vehicle(vehicle).vehicle


def _moved(before: Inputs, after: Inputs) -> set[str]:
    """Return the inputs that differ: fields, and drivers that are set."""
    names = (field.name for field in dataclasses.fields(Inputs))
    fields = {name for name in names if getattr(before, name) != getattr(after, name)}
    one, other = dict(before.settings), dict(after.settings)
    return fields | {name for name in one | other if one.get(name) != other.get(name)}


def _key(inputs: Inputs) -> Inputs:
    """Return what of the inputs makes another museum; the unit only where its own tolerance is set."""
    unit = inputs.vehicle if inputs.weight_tolerance is not None else ""
    return dataclasses.replace(inputs, vehicle=unit, settings={}, budget_usd=None)
