"""The survey sheet as a table and as a form: add an observation and see at once what it tells."""

from __future__ import annotations

import csv
import io
from html import escape
from typing import Any

import ipywidgets as widgets

from heritagemove.answers.survey_tables import id_in_words, table_of_effect
from heritagemove.museum.rows.clues import Clue
from heritagemove.museum.rows.survey import Observation
from heritagemove.panels import markup, survey_tables
from heritagemove.panels.controls import StatusLine
from heritagemove.panels.state import Desk
from heritagemove.survey.bearings import bearing_of, bearings, seen_at, show_share

_WIDE = widgets.Layout(width="100%")
_FIELD = {"style": {"description_width": "10em"}, "layout": widgets.Layout(width="34em")}
_COLUMNS = tuple(Observation.model_fields)


def survey_sheet(desk: Desk) -> SurveySheet:
    """Return the survey sheet of the desk's unit, to stand as the last value of a cell."""
    return SurveySheet(desk)


class SurveySheet(widgets.VBox):
    """Form, probabilities and sheet of one unit at a time.

    Observations that are added stay in this sheet; what to type into survey.csv is shown.
    """

    def __init__(self, desk: Desk):
        # The museum as its tables say, and with the observations that were added.
        museum = desk.base
        self.desk, self.tables, self.museum, self.added = desk, museum, museum, []
        self.choosing = False
        self.place = widgets.Dropdown(description="Journal box", **_FIELD)
        clues = [clue for clue in dict.fromkeys(row.clue for row in museum.clues) if clue != "prior"]
        named = [(id_in_words(clue).capitalize(), clue) for clue in clues]
        self.clue = widgets.Dropdown(options=named, description="Looked for", **_FIELD)
        wide = widgets.Layout(width="56em", max_width="100%")
        self.found = widgets.Dropdown(description="Found", style=_FIELD["style"], layout=wide)
        self.add = widgets.Button(description="Add to the sheet", icon="plus", tooltip="Add this observation to the sheet")
        self.take_back = widgets.Button(description="Take back", icon="undo", tooltip="Take back the last one added")
        self.alert = StatusLine()
        self.effect, self.typed, self.boxes, self.sheet = (widgets.HTML(layout=_WIDE) for _ in range(4))
        form = widgets.VBox([self.place, self.clue, self.found, widgets.HBox([self.add, self.take_back])])
        super().__init__((form, self.alert, self.effect, self.typed, self.boxes, self.sheet))
        for field in (self.place, self.clue, self.found):
            field.observe(self._chosen, "value")
        self.add.on_click(self._add)
        self.take_back.on_click(self._take_back)
        self.follow()

    def follow(self) -> None:
        """Offer the boxes of the unit, the least certain first, and the clue that it lacks most."""
        answer = bearings(self.museum, self.desk.vehicle)
        ordered = sorted(answer.boxes, key=lambda box: box.certainty)
        self.choosing = True
        self.place.options = [(f"{box.place}", box.place) for box in ordered] + [("whole unit", "vehicle")]
        self.place.value = self.place.options[0][1]
        if ordered and ordered[0].looks:
            self.clue.value = ordered[0].looks[0][0]
        self.choosing = False
        self._show()

    def _chosen(self, change: dict[str, Any]) -> None:
        if not self.choosing:
            self._show(words_changed=change["owner"] is self.clue)

    def _show(self, words_changed: bool = True) -> None:
        """Put the unit's sheet on screen, with what the chosen observation would tell."""

        def work() -> None:
            if words_changed:
                self._offer_words()
            effect, typed = self._effect(), self._typed()
            boxes = survey_tables.bearings_table(self.museum, self.desk.vehicle)
            self.sheet.value = survey_tables.boxes_table(self.museum, self.desk.vehicle)
            self.effect.value, self.typed.value, self.boxes.value = effect, typed, boxes
            self.take_back.disabled = not self.added

        self.alert.doing(self.clue.description, work)

    def _offer_words(self) -> None:
        meanings = [(f"{id_in_words(row.found)}: {row.meaning}", row.found) for row in self._clue_rows()]
        self.choosing = True
        self.found.options = meanings
        self.found.value = meanings[0][1]
        self.choosing = False

    def _clue_rows(self) -> list[Clue]:
        return [row for row in self.museum.clues if row.clue == self.clue.value]

    def _observation(self) -> Observation:
        """Return the row that the form describes, dated no earlier than what it replaces."""
        dates = [self.museum.scenario.as_of, *(row.observed for row in self.tables.survey)]
        return Observation(
            vehicle=self.desk.vehicle, place=self.place.value, clue=self.clue.value, found=self.found.value,
            photo=None, observed=max(dates), basis="measured", source="seen on site",
        )  # fmt: skip

    def _effect(self) -> str:
        """Return what the chosen observation would make of the chosen box."""
        place = self.place.value
        if place == "vehicle":
            return markup.note("An observation of the whole unit counts at every box that has none of its own.")
        seen = seen_at(self.museum, self.desk.vehicle, place)
        now = bearing_of(seen, self.museum.clues)
        then = bearing_of((*(row for row in seen if row.clue != self.clue.value), self._observation()), self.museum.clues)
        said = f"{id_in_words(self.clue.value)} {id_in_words(self.found.value)}"
        makes = "makes" if (self.clue.value, self.found.value) in now.seen else "would make"
        caption = f"Box {place}: {said} {makes} it {id_in_words(then.likeliest)}, {show_share(then.certainty)}"
        notes = [f"Contradiction: {id_in_words(text)}." for text in then.contradictions]
        notes += [f"Does not count: {id_in_words(text)}." for text in then.left_out]
        return markup.table_of(table_of_effect(caption, now, then)) + markup.note(" ".join(notes))

    def _typed(self) -> str:
        """Return the lines for survey.csv of what was added."""
        if not self.added:
            return ""
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        for row in self.added:
            writer.writerow(["" if getattr(row, name) in (None, False) else str(getattr(row, name)) for name in _COLUMNS])
        lines = f'<pre style="color:inherit;background:none;margin:4px 8px">{escape(text.getvalue())}</pre>'
        return markup.note("Nothing is written to a file. To keep it, add to survey.csv:") + lines

    def _add(self, _: Any) -> None:
        self._put([*self.added, self._observation()])

    def _take_back(self, _: Any) -> None:
        self._put(self.added[:-1])

    def _put(self, added: list[Observation]) -> None:
        """Hold the table's rows and those added; an added one replaces what its place says of the same clue."""
        self.added = added
        replaced = {(row.vehicle, row.place, row.clue) for row in added}
        kept = [row for row in self.tables.survey if (row.vehicle, row.place, row.clue) not in replaced]
        last = {(row.vehicle, row.place, row.clue): row for row in added}
        self.museum = self.tables.with_changes(survey=(*kept, *last.values()))
        self._show(words_changed=False)
