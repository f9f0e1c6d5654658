"""Named scenarios: saved to a file, loaded again, and two of them side by side with their differences in words."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from heritagemove.compare.differences import differences
from heritagemove.compare.inputs import Inputs, answer, as_set, inputs_in_words
from heritagemove.compare.results import Comparison
from heritagemove.compare.scenario_files import load_scenario, save_scenario, saved_scenarios
from heritagemove.compare.waiting import meeting_in_words
from heritagemove.panels import markup
from heritagemove.panels.controls import StatusLine, button
from heritagemove.panels.state import Desk
from heritagemove.trials import simulation
from heritagemove.units.described import Marked
from heritagemove.units.words import show_chance, show_rounded

_WIDE = widgets.Layout(width="100%")
#: What the scenarios beside what is set now are called in chart and rows.
LETTERS = ("A", "B", "C")
NOW, TABLES = "what is set now", "what the tables say"


def show_scenarios(desk: Desk, folder: str | Path = "scenarios") -> ScenarioScreen:
    """Return the screen that saves, loads and compares named scenarios.

    Parameters
    ----------
    folder : path
        Where the scenarios are kept, a small file each.
    """
    return ScenarioScreen(desk, Path(folder))


class ScenarioScreen(widgets.VBox):
    """Name, save, load; and two scenarios side by side."""

    def __init__(self, state: Desk, folder: Path):
        self.state, self.folder, self._filling = state, folder, False
        self._known: list[tuple[Inputs, Comparison]] = []
        look = {"style": {"description_width": "9em"}, "layout": widgets.Layout(width="34em")}
        self.name = widgets.Text(description="Name", placeholder="such as: crane idle 6 h, June deadline", **look)
        self.saved = widgets.Dropdown(description="Saved", **look)
        self.left = widgets.Dropdown(description="Compare", **look)
        self.right = widgets.Dropdown(description="with", **look)
        self.save = button("Save", "save", "Save what is set now under this name", self._save)
        self.load = button("Load", "folder-open-o", "Set what was saved", self._load)
        self.alert = StatusLine()
        self.said, self.words, self.table = (widgets.HTML(layout=_WIDE) for _ in range(3))
        rows = ([self.name, self.save], [self.saved, self.load], [self.left, self.right])
        wrap = widgets.Layout(flex_flow="row wrap")
        shown = (self.alert, self.said, self.words, self.table)
        super().__init__([*(widgets.HBox(row, layout=wrap) for row in rows), *shown])
        self._fill()
        for chooser in (self.left, self.right):
            chooser.observe(lambda _: self._side_by_side(), "value")
        state.watch(self._side_by_side)
        self._side_by_side()

    def _fill(self) -> None:
        """List what the folder holds, keeping what was chosen."""
        self._filling = True
        files = [(name, path) for name, path in saved_scenarios(self.folder)]
        keep = [chooser.value for chooser in (self.saved, self.left, self.right)]
        self.saved.options = files or [("none saved yet", None)]
        for chooser in (self.left, self.right):
            chooser.options = [(f"– {TABLES} –", TABLES), (f"– {NOW} –", NOW), *files]
        self.saved.index, self.left.value, self.right.value = 0, TABLES, NOW
        for chooser, value in zip((self.saved, self.left, self.right), keep, strict=True):
            if value in [option[1] for option in chooser.options]:
                chooser.value = value
        self._filling = False

    def _guarded(self, name: str, work: Callable[[], Any], then: str) -> None:
        """Do it; a failure becomes a line that names what was asked for."""
        self.said.value = ""
        self.alert.doing(name, work, then)

    def _save(self) -> None:
        def work() -> None:
            path = save_scenario(self.folder, self.name.value, self.state.base, self.state.inputs)
            self._fill()
            self.saved.value = path
            self.said.value = _status(f"✓ Saved in {path}")

        self._guarded(f"Save {self.name.value}", work, "Nothing was saved.")

    def _load(self) -> None:
        if self.saved.value is None:
            return

        def work() -> None:
            found = load_scenario(self.saved.value, self.state.base)
            fields = {name: getattr(found.inputs, name) for name in Inputs.__dataclass_fields__}
            if not self.state.change(f"Scenario {found.name}", **fields):
                return
            self.said.value = _status(f"✓ {found.name}: {'; '.join(self._in_words(found.inputs))}. {found.note}")

        self._guarded(f"Load {Path(self.saved.value).name}", work, "What was set before still holds.")

    def _in_words(self, inputs: Inputs) -> tuple[str, ...]:
        return inputs_in_words(self.state.base, inputs)

    def _side_by_side(self) -> None:
        if not self._filling:
            self._guarded("Compare", self._show, "The comparison below is from before.")

    def _show(self) -> None:
        chosen = [self.left.value, self.right.value]
        inputs = [self._inputs(value) for value in chosen]
        answers = [self._answer(given) for given in inputs]
        # Two answers are kept, so that a slider move does not answer the saved side again.
        self._known = list(zip(inputs, answers, strict=True))
        words = differences(*answers, ("the first", "the second"))
        listed = "".join(f"<li>{escape(line)}</li>" for line in words)
        self.words.value = f'<ul style="line-height:1.4;margin:6px 0;white-space:normal">{listed}</ul>'
        names = [value if isinstance(value, str) else label for value, label in
                 ((self.left.value, self.left.label), (self.right.value, self.right.label))]  # fmt: skip
        rows = [(what, *(cell(*pair) for pair in zip(inputs, answers, strict=True))) for what, cell in self._cells()]
        headings = ("What", *(f"{place}: {name}" for place, name in zip(("First", "Second"), names, strict=True)))
        self.table.value = markup.table("Side by side", headings, rows)

    def _inputs(self, value: Any) -> Inputs:
        if value == TABLES:
            return Inputs(self.state.vehicle)
        return self.state.inputs if value == NOW else load_scenario(value, self.state.base).inputs

    def _answer(self, inputs: Inputs) -> Comparison:
        for known, kept in [(self.state.inputs, self.state.comparison), *self._known]:
            if known == inputs:
                return kept
        return _answered(self.state, inputs)

    def _cells(self) -> tuple[tuple[str, Callable[[Inputs, Comparison], str]], ...]:
        return (
            ("Unit", lambda inputs, comparison: comparison.museum.vehicle(inputs.vehicle).name),
            ("What is set", lambda inputs, _: "; ".join(self._in_words(inputs))),
            ("Choice", lambda _, comparison: _path(comparison, comparison.choice)),
            ("Fallback", lambda _, comparison: _path(comparison, comparison.fallback)),
            (f"Set aside, all in [{self.state.base.scenario.currency}]", lambda _, comparison: _cost(comparison)),
            ("Chance of being off the site in time, all in", lambda _, comparison: _chance(comparison)),
            ("Decide at the meeting of, at the latest", lambda _, comparison: meeting_in_words(comparison)),
        )


class Compared(widgets.HBox):
    """Keeps what is set under a name, and shows up to three kept scenarios of the unit beside what is set now.

    Attributes
    ----------
    letters : tuple of ToggleButton
        A, B and C: the scenarios of this unit that were kept last, in that order.
    naming : HBox
        The line in which a name is given; it shows where somebody asked for it.
    """

    def __init__(self, state: Desk, changed: Callable[[], Any], folder: Path = Path("scenarios")):
        self.state, self.folder, self._changed = state, folder, changed
        self._answers: dict[tuple[Path, float], Comparison] = {}
        self._files: list[tuple[str, Path]] = []
        self.alert = StatusLine()
        self.alert.layout.min_height = "0"
        small = {"width": "30px", "padding": "0", "margin": "2px 1px"}
        self.letters = tuple(widgets.ToggleButton(description=each, layout=widgets.Layout(**small)) for each in LETTERS)
        self.ask = button("Save as", "", "Keep what is set now under a name, to compare it later", self._ask)
        self.ask.layout.width = "auto"
        look = {"style": {"description_width": "initial"}, "layout": widgets.Layout(width="24em")}
        self.name = widgets.Text(description="Keep it as", placeholder="such as: crane idle 6 h", **look)
        self.keep = button("Keep", "check", "Save it under this name", self._keep)
        self.naming = widgets.HBox([self.name, self.keep], layout=widgets.Layout(display="none"))
        said = widgets.Label("Compare", layout=widgets.Layout(width="auto", margin="2px 2px 2px 8px"))
        super().__init__([self.ask, said, *self.letters], layout=widgets.Layout(margin="0", align_items="center"))
        self.fill()
        for letter in self.letters:
            letter.observe(lambda _: self._changed(), "value")
        state.watch(self.fill, ("vehicle",))

    def fill(self) -> None:
        """Offer the scenarios of the unit that were kept last."""
        kept = [(path.stat().st_mtime, name, path) for name, path in saved_scenarios(self.folder)]
        found = []
        for _, name, path in sorted(kept, reverse=True):
            try:
                if load_scenario(path, self.state.base).inputs.vehicle == self.state.vehicle:
                    found.append((name, path))
            except (ValueError, OSError):
                continue  # the screen that loads them says what is wrong with it
        on = {path for letter, (_, path) in zip(self.letters, self._files, strict=False) if letter.value}
        self._files = found[: len(LETTERS)][::-1]
        for place, letter in enumerate(self.letters):
            name, path = self._files[place] if place < len(self._files) else ("", None)
            letter.disabled, letter.value = not name, path in on
            letter.tooltip = f"Show {name} beside what is set" if name else "Nothing is kept here yet: set inputs, Save as"

    def answers(self) -> dict[str, tuple[str, Comparison]]:
        """Return name and answer of each scenario that is switched on, by its letter."""
        chosen = [pair for pair in zip(self.letters, self._files, strict=False) if pair[0].value]
        return {letter.description: (name, self._answer(path)) for letter, (name, path) in chosen}

    def _answer(self, path: Path) -> Comparison:
        key = path, path.stat().st_mtime
        if key not in self._answers:
            self._answers[key] = _answered(self.state, load_scenario(path, self.state.base).inputs)
        return self._answers[key]

    def _ask(self) -> None:
        hidden = self.naming.layout.display == "none"
        self.naming.layout.display = "flex" if hidden else "none"

    def _keep(self) -> None:
        def work() -> None:
            save_scenario(self.folder, self.name.value, self.state.base, self.state.inputs)
            self.naming.layout.display, self.name.value = "none", ""
            self.fill()

        self.alert.doing(f"Keep {self.name.value}", work, "Nothing was saved.")


def _answered(state: Desk, inputs: Inputs) -> Comparison:
    museum = as_set(state.base, inputs)
    return answer(museum, inputs, simulation.draw(museum, previous=state.samples))


def _path(comparison: Comparison, path: str | None) -> Marked | str:
    return "none" if path is None else Marked(comparison.path(path).number, comparison.path(path).title)


def _cost(comparison: Comparison) -> str:
    return show_rounded(comparison.decision.budget.at_confidence) if comparison.choice else "none"


def _chance(comparison: Comparison) -> str:
    return show_chance(comparison.decision.chance_if_decided_then) if comparison.choice else "none"


def _status(text: str) -> str:
    return f'<div role="status">{markup.note(text)}</div>'
