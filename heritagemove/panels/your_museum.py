"""A form for the first steps of one's own museum: the decision, the first unit, the route; then what is still unknown."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.missing import missing
from heritagemove.editing.first_steps import Question, answered, checked, prints, questions, write_answers
from heritagemove.editing.starter import new_museum, starter_museum
from heritagemove.editing.writing import typed
from heritagemove.museum.museum import Museum, reference_folder
from heritagemove.panels import markup, survey_tables
from heritagemove.panels.controls import StatusLine
from heritagemove.panels.state import Desk
from heritagemove.trials import simulation

_WIDE = widgets.Layout(width="100%")
_GROUPS = {"decision": "1. The decision", "unit": "2. The unit", "leg": "3. The route, leg by leg"}
#: The fields of a leg stand side by side.
_SHORT = {"name": "Leg", "length": "Length", "clear_height": "Clear height", "lowest_wire": "Lowest wire"}
#: Statuses and reasons need no more; the decision notebook draws as many as museum.toml says.
_TRIALS = 100


def your_museum(desk: Desk, folder: str | Path = "../my_museum") -> YourMuseum:
    """Return the form for a museum of one's own, to stand as the last value of a cell.

    Parameters
    ----------
    folder : path
        Folder of the tables. If it is not there yet, the form shows the starter museum, and **Write the tables**
        makes the folder.
    """
    return YourMuseum(folder)


class YourMuseum(widgets.VBox):
    """Form, check and list of what is still unknown. Nothing is written before the button is pressed."""

    museum: Museum  # that the answers make

    def __init__(self, folder: str | Path):
        self.folder = Path(folder)
        # The tables are checked aside; the limits are those that stand beside the museum's own folder.
        self.reference = reference_folder(self.folder)
        self.state, self.unknown = (widgets.HTML(layout=_WIDE) for _ in range(2))
        self.alert = StatusLine()
        self.write = widgets.Button(description="Write the tables", icon="save", tooltip="Write the answers into the tables")
        self._read()
        self.fields = {question.key: _field(question) for question in questions(self.tables)}
        groups = [self._group(name, title) for name, title in _GROUPS.items()]
        cautions = widgets.HTML(survey_tables.survey_cautions(self.museum), layout=_WIDE)
        super().__init__((self.state, *groups, self.write, self.alert, self.unknown, cautions))
        for field in self.fields.values():
            field.observe(self._answer, "value")
        self.write.on_click(self._write)
        self._show_unknown()

    def _read(self) -> None:
        """Read the folder's tables, or the starter's if there are none yet."""
        there = self.folder.exists()
        self.tables = typed(self.folder) if there else starter_museum()
        self.museum = checked(self.tables, self.reference)
        self.read = prints(self.folder) if there else {}
        said = f"Tables of {self.folder}." if there else f"{self.folder} is not there yet: this is the starter museum."
        self.state.value = markup.note(said + " Every answer may be changed later, here or in a spreadsheet.")

    def _group(self, name: str, title: str) -> widgets.Widget:
        fields = {key: field for key, field in self.fields.items() if key.startswith(f"{name}.")}
        rows: list[widgets.Widget] = list(fields.values())
        if name == "leg":
            legs = dict.fromkeys(key.rpartition(".")[0] for key in fields)
            rows = [widgets.HBox([fields[key] for key in fields if key.startswith(f"{leg}.")]) for leg in legs]
        return widgets.VBox([widgets.HTML(f"<h3 style='color:inherit;margin:8px 0'>{escape(title)}</h3>"), *rows])

    def _answers(self) -> dict[str, str]:
        return {key: field.value for key, field in self.fields.items()}

    def _answer(self, *_: Any) -> None:
        """Take up an answer: what it makes unknown or known is seen at once."""

        def work() -> None:
            self.museum = checked(answered(self.tables, self._answers()), self.reference)
            self._show_unknown()

        taken = self.alert.doing("Not taken up", work, "The list below is from before this answer.")
        self.write.disabled = not taken

    def _write(self, *_: Any) -> None:
        """Write what changed; a folder that is not there yet appears whole."""
        files: list[str] = []

        def work() -> None:
            if not self.folder.exists():
                new_museum(self.folder)
                self.read = prints(self.folder)
            after = answered(self.tables, self._answers())
            files.extend(write_answers(self.tables, after, self.folder, self.read))

        if self.alert.doing("Not written", work, "The tables are as they were."):
            self._read()
            what = ", ".join(files) or "nothing had changed"
            self.alert.value = f'<div role="status">{markup.note(f"Written into {self.folder}: {what}.")}</div>'

    def _show_unknown(self) -> None:
        """List what is unknown with the paths that wait for it, what opens a path first."""
        unit = self.museum.vehicles[0]
        comparison = compare_paths(self.museum, unit.vehicle, {}, simulation.draw(self.museum, trials=_TRIALS))
        found = missing(self.museum, comparison.paths, comparison.samples)
        rows = [
            (row.what, row.find or "ask or measure", *(self._paths(part) for part in (row.opens, row.waits)))
            for row in found
        ]
        caption = f"{unit.name}: {len(found)} things still unknown; what alone opens a path comes first"
        headings = ("Unknown", "How to find out", "Paths it opens by itself", "Paths that wait for it and for more")
        legend = "; ".join(f"{row.number} {row.title}" for row in sorted(self.museum.paths, key=lambda row: row.number))
        self.unknown.value = markup.table(caption, headings, rows) + markup.note(f"Paths: {legend}.")

    def _paths(self, paths: tuple[str, ...]) -> str:
        return ", ".join(str(number) for number in sorted(self.museum.path(path).number for path in paths)) or "none"


def _field(question: Question) -> widgets.Widget:
    """Return the field of a question; what may be written in it stands beside it and under the mouse."""
    label = question.label.split(";")[0]
    of_leg = question.key.startswith("leg.")
    shown = {
        "description": _SHORT.get(question.key.rpartition(".")[2], label) if of_leg else label[:1].upper() + label[1:],
        "tooltip": f"{label}: {question.allowed}",
        "style": {"description_width": "6.5em" if of_leg else "31em"},
        "layout": widgets.Layout(width="25%", min_width="12em") if of_leg else widgets.Layout(width="min(58em, 100%)"),
    }
    if question.choices:
        words = [(choice.replace("_", " "), choice) for choice in question.choices]
        return widgets.Dropdown(options=words, value=question.answer, **shown)
    return widgets.Text(value=question.answer, placeholder=question.allowed, continuous_update=False, **shown)
