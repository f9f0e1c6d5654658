"""A planner's answers, step by step, from nothing to a museum: taken up, undone, and written when she says so."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from heritagemove.editing import growing
from heritagemove.editing.first_steps import answered, checked, prints, write_answers
from heritagemove.editing.kinds_of_unit import KINDS_OF_UNIT
from heritagemove.editing.questions import Question, echo, questions, understood
from heritagemove.editing.starter import starter_museum, write_begun
from heritagemove.editing.starting_point import STANDS, StartingPoint
from heritagemove.editing.writing import Typed, typed, write_museum
from heritagemove.files.tables import TableProblems
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.museum.museum import Museum, reference_folder
from heritagemove.museum.rules_folders import rules_folders
from heritagemove.units.boxes import TONS, as_cell
from heritagemove.units.units import PlannerError

_TON = "situation.ton"
_LABELS = {
    "rules": "rules of country or state", "kind": "kind of unit", "stands": "it stands",
    "rail_at_museum": "museum's track joined to rails", "by_rail": "how far by rail", "by_road": "how far by road",
    "seasons": "frost laws, traffic peaks", "holdover": "owner's charge a day, if late",
}  # fmt: skip
#: How a museum grows: what is added or taken out beside the rows that the ids name.
_GROWS: Mapping[str, Callable[..., Typed]] = {
    "add_leg": growing.with_leg, "remove_leg": growing.without_leg, "add_bridge": growing.with_bridge,
    "remove_bridge": growing.without_bridge, "add_piece": growing.with_piece, "remove_piece": growing.without_piece,
    "remove_unit": growing.without_unit,
}  # fmt: skip


class Interview:
    """What has been answered so far about one museum.

    Parameters
    ----------
    folder : path
        Where the museum stands, or is to stand: a folder, or a workbook when its name ends in .xlsx.
    """

    museum: Museum  # that the answers make
    tables: Typed  # the same, as typed

    def __init__(self, folder: str | Path):
        self.folder = Path(folder)
        self.point, self.ton, self.answers = StartingPoint(), "", 0
        self.waiting: dict[str, str] = {}  # answers that contradict others until those are answered too
        self._steps: list[tuple[str, tuple[Any, ...]]] = []
        self._undo: list[tuple[Any, ...]] = []
        self._read()

    @property
    def begun(self) -> bool:
        """Whether the museum stands in its folder: its situation is answered then."""
        return bool(self.before)

    def _read(self) -> None:
        self.before = typed(self.folder) if self.folder.exists() else None
        self.read = prints(self.folder) if self.before and not is_workbook(self.folder) else {}
        self.tables = self.before or starter_museum(self.point)
        self.museum = self._checked(self.tables)
        self._steps, self.waiting, self._undo = [], {}, []

    def _checked(self, tables: Typed) -> Museum:
        # The tables are checked aside; the limits are those that stand beside the museum's own folder, or its rules'.
        return checked(tables, None if tables.scenario.rules else reference_folder(self.folder))

    def questions(self) -> tuple[Question, ...]:
        """Return what is asked now: it grows with what is answered."""
        return (*self._situation(), *questions(self.tables))

    def _situation(self) -> list[Question]:
        unit = "km" if self.tables.scenario.units == "SI" else "mile"
        ton = Question(_TON, "a ton means", ", ".join(TONS), ("", *TONS), self.ton)
        if self.begun:
            return [ton]
        words: dict[str, tuple[str, ...]] = {
            "rules": tuple(rules_folders()), "kind": tuple(KINDS_OF_UNIT), "stands": tuple(STANDS),
            "rail_at_museum": ("yes", "no"), "seasons": ("yes", "no"),
        }  # fmt: skip
        asked = []
        for name, label in _LABELS.items():
            held = getattr(self.point, name)
            text = {True: "yes", False: "no"}.get(held, held) if isinstance(held, bool) else str(held)
            if name == "holdover":
                unit, text = self.tables.scenario.currency, f"{held:g}"
            allowed = ", ".join(words.get(name, ("a distance such as 140 mile or 225 km",)))
            shown = unit if name in ("by_rail", "by_road", "holdover") else ""
            asked.append(Question(f"situation.{name}", label, allowed, words.get(name, ()), text, shown))
        return [*asked, ton]

    def answer(self, key: str, text: str) -> str:
        """Take up an answer.

        Returns
        -------
        str
            How it was understood, where it was typed otherwise; else blank.

        Raises
        ------
        PlannerError
            If it cannot be read; nothing changes then.
        TableProblems
            If it contradicts another answer: it waits, and is tried again with the next one.
        """
        question = next((each for each in self.questions() if each.key == key), None)
        if question is None:
            raise PlannerError(f"found {key}; allowed: the key of a question")
        if key.startswith("situation."):
            return self._situate(question, text.strip())
        try:
            understood(question, text, self.ton)
            said = echo(question, text, self.ton)
        except ValueError as error:
            raise PlannerError(f'{question.named}: found "{text.strip()}"; allowed: {error}') from error
        if text.strip() == question.answer and key not in self.waiting:
            return ""
        together = self.waiting | {key: text}
        try:
            self._take([("answer", (each, words)) for each, words in together.items()])
        except (TableProblems, PlannerError):
            self.waiting = {name: words for name, words in self.waiting.items() if name != key}
            if not self.waiting:
                self.waiting = together
                raise
            try:  # what waits may not be its fault
                self._take([("answer", (key, text))])
            except (TableProblems, PlannerError):
                self.waiting = together
                raise
        else:
            self.waiting = {}
        self.answers += 1
        return said

    def answer_all(self, answers: Mapping[str, str]) -> None:
        """Take up several answers as one.

        Raises
        ------
        PlannerError, TableProblems
            With everything that is wrong with any of them; nothing changes then.
        """
        for key in [key for key in answers if key.startswith("situation.")]:
            self.answer(key, answers[key])
        rest = {key: text for key, text in answers.items() if not key.startswith("situation.")}
        if rest:
            self._take([("answer", each) for each in rest.items()])
            self.answers += len(rest)

    def _situate(self, question: Question, text: str) -> str:
        name = question.key.partition(".")[2]
        if name == "ton":
            if text not in question.choices:
                raise PlannerError(f'{question.label}: found "{text}"; allowed: {question.allowed}')
            self._keep()
            self.ton = text
        else:
            given: Any = {"yes": True, "no": False}.get(text, text) if question.choices == ("yes", "no") else text
            if name == "holdover":
                given = _money(text, question)
            elif question.unit:
                given = as_cell(text, question.unit)
            point = dataclasses.replace(self.point, **{name: given})
            tables = _replayed(starter_museum(point), self._steps, self.ton)
            museum = self._checked(tables)
            self._keep()
            self.point, self.tables, self.museum = point, tables, museum
        self.answers += 1
        return ""

    def grow(self, what: str, *ids: str) -> None:
        """Add a leg, bridge or piece, or take one out, beside what the ids name: ``add_leg``, ``remove_bridge`` and so on.

        Raises
        ------
        PlannerError
            If it cannot be.
        """
        self._take([(what, ids)])
        self.answers += 1

    def add_unit(self, kind: str) -> None:
        """Add a unit of a kind of :data:`heritagemove.editing.kinds_of_unit.KINDS_OF_UNIT`."""
        self._take([("unit", (dataclasses.replace(self.point, kind=kind),))])
        self.answers += 1

    def add_row(self, table: str, cells: Mapping[str, str]) -> None:
        """Add a row of a table, such as a fund or a quote; each cell that is not blank counts as an answer.

        Raises
        ------
        TableProblems
            With everything in it that is not allowed; nothing is added then.
        """
        said = {name: text.strip() for name, text in cells.items() if text.strip()}
        self._take([("row", (table, said))])
        self.answers += len(said) - 2  # basis and source were there

    def _take(self, steps: list[tuple[str, tuple[Any, ...]]]) -> None:
        tables = _replayed(self.tables, steps, self.ton, strict=True)
        museum = self._checked(tables)
        self._keep()
        self.tables, self.museum = tables, museum
        self._steps += steps

    def _keep(self) -> None:
        self._undo.append((self.tables, self.museum, self.point, self.ton, list(self._steps)))

    def undo(self) -> bool:
        """Take back the last answer; say whether there was one."""
        if self._undo:
            self.tables, self.museum, self.point, self.ton, self._steps = self._undo.pop()
            self.waiting, self.answers = {}, self.answers - 1
            return True
        return False

    def write(self) -> tuple[str, ...]:
        """Write the tables: a new folder or workbook whole, in an old one what changed; what was there before is kept.

        Returns
        -------
        tuple of str
            The files written.

        Raises
        ------
        Changed
            If somebody has written one of them since; nothing is written then.
        NotSaved
            If the disk is full or the folder may not be written.
        """
        files: tuple[str, ...] = (self.folder.name,)
        if self.before is None:
            write_begun(self.tables, self.folder, self.point)
        elif is_workbook(self.folder):
            write_museum(self.tables, self.folder, replace=True)
        else:
            files = write_answers(self.before, self.tables, self.folder, self.read)
        ton, answers = self.ton, self.answers
        self._read()
        self.ton, self.answers = ton, answers
        return files


def _money(text: str, question: Question) -> float:
    try:
        return float(text.replace(",", "").removesuffix(question.unit).strip() or "0")
    except ValueError as error:
        raise PlannerError(f'{question.label}: found "{text}"; allowed: money such as 400 {question.unit}, or 0') from error


def _replayed(tables: Typed, steps: list[tuple[str, tuple[Any, ...]]], ton: str, strict: bool = False) -> Typed:
    """Return tables with steps taken in them; of another beginning, what asks for a row that is not there is left out."""
    answers: dict[str, str] = {}
    for what, given in [*steps, ("end", ())]:
        if what == "answer":
            answers[given[0]] = given[1]
            continue
        there = {question.key for question in questions(tables)} if answers and not strict else set(answers)
        tables = answered(tables, {key: text for key, text in answers.items() if key in there}, ton)
        answers = {}
        try:
            if what == "unit":
                tables = growing.with_unit(tables, starter_museum(*given))
            elif what == "row":
                tables = growing.with_row(tables, *given)
            elif what != "end":
                tables = _GROWS[what](tables, *given)
        except StopIteration:
            if strict:
                raise
    return tables
