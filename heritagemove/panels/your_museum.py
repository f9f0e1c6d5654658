"""The form for a museum of one's own: it grows as the planner knows more, and says after each answer what that opened."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from heritagemove.answers.what_opened import became, standings, taken_out, worth_finding
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.results import Comparison
from heritagemove.editing.interview import Interview
from heritagemove.editing.kinds_of_unit import KINDS_OF_UNIT
from heritagemove.editing.questions import Question
from heritagemove.editing.rows_as_typed import typed_rows
from heritagemove.editing.starting_point import STANDS
from heritagemove.hand_over import page
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.panels import markup
from heritagemove.panels.adding_rows import RowForm
from heritagemove.panels.controls import StatusLine, button
from heritagemove.panels.state import Desk
from heritagemove.trials import simulation

_WIDE = widgets.Layout(width="100%")
#: Statuses and reasons need no more; the decision notebook draws as many as museum.toml says.
_TRIALS = 100
#: So many of the things worth finding out are shown, the others to unfold.
_NEXT = 5
_TITLES = {key: kind.title for key, kind in KINDS_OF_UNIT.items()} | dict(STANDS)


def your_museum(desk: Desk, folder: str | Path = "../my_museum") -> YourMuseum:
    """Return the form for a museum of one's own, to stand as the last value of a cell.

    Parameters
    ----------
    folder : path
        Folder of the tables, or a workbook when its name ends in .xlsx. If it is not there yet, the form begins with
        the situation, and **Write the tables** makes it.
    """
    return YourMuseum(folder)


class YourMuseum(widgets.VBox):
    """Form, what each answer opened, and what to find out next. Nothing is written before the button is pressed."""

    def __init__(self, folder: str | Path):
        self.interview = Interview(folder)
        self.folder = self.interview.folder
        self.state, self.said, self.opened = (widgets.HTML(layout=_WIDE) for _ in range(3))
        self.alert = StatusLine()
        self.write = button("Write the tables", "save", "Write the answers into the tables", self._write)
        self.page = button("Write the page", "file-text", "Write the page for the committee beside them", self._page)
        self.undo = button("Undo", "undo", "Take back the last answer", self._undo)
        self.fields: dict[str, widgets.Widget] = {}
        self._own = False  # whether the form itself sets a field just now
        self._memo, self._samples, self._paths = Memo(), None, ()
        self._vehicle = self.museum.vehicles[0].vehicle
        # Both halves scroll by themselves: what an answer opened stays in sight beside the field.
        half = {"max_height": "470px", "overflow": "auto"}
        self.sections = widgets.Accordion(layout=widgets.Layout(width="56%", min_width="24em", **half))
        for each in (self.write, self.page, self.undo):
            each.layout.width = "auto"
        buttons = widgets.HBox([self.write, self.page, self.undo], layout=widgets.Layout(flex_flow="row wrap"))
        for each in (buttons, self.alert, self.said, self.opened):
            each.layout.flex = "0 0 auto"  # in a column that scrolls the others would press it to nothing
        beside = widgets.VBox([buttons, self.alert, self.said, self.opened], layout=widgets.Layout(width="43%", **half))
        both = widgets.HBox([self.sections, beside], layout=widgets.Layout(flex_flow="row wrap", width="100%"))
        super().__init__([self.state, both])
        self._ask()
        self.sections.selected_index = 0
        self._show(self._compared())

    @property
    def museum(self) -> Museum:
        """The museum that the answers make."""
        return self.interview.museum

    # What is asked -------------------------------------------------------------------------------------------------

    def _ask(self) -> None:
        """Make the fields of what is asked now; which section is open stays."""
        said = f"{self.folder} is not there yet: nothing is written until you say so."
        said = f"Tables of {self.folder}." if self.interview.begun else said
        self.state.value = markup.note(f"{said} A blank answer is unknown.")
        asked = self.interview.questions()
        self.fields = {question.key: _field(question) for question in asked}
        for key, field in self.fields.items():
            field.observe(lambda change, key=key: self._answer(key, change["new"]), "value")
        at = self.sections.selected_index
        parts = self._sections({question.group for question in asked})
        self.sections.children = [widgets.VBox(rows) for _, rows in parts]
        self.sections.titles = [title for title, _ in parts]
        self.sections.selected_index = None  # the screen shuts what is made anew: what was open is opened again
        self.sections.selected_index = at if at is None or at < len(parts) else len(parts) - 1

    def _of(self, group: str) -> list[widgets.Widget]:
        return [field for key, field in self.fields.items() if key.rpartition(".")[0] == group]

    def _sections(self, groups: set[str]) -> list[tuple[str, list[widgets.Widget]]]:
        tables = self.interview.tables
        parts = [("The situation", self._of("situation")), ("The decision", self._of("decision"))]
        units = typed_rows(tables, "vehicles.csv")
        for row in units:
            unit = row["vehicle"]
            rows = self._of(f"unit.{unit}")
            for piece in typed_rows(tables, "pieces.csv"):
                if f"piece.{unit}.{piece['piece']}" in groups and piece["vehicle"] == unit:
                    part = piece["kind"] not in ("body", "whole")
                    remove = [self._grows("Remove", "remove_piece", unit, piece["piece"], of=piece["title"])] if part else []
                    rows += [_heading(piece["title"]), *self._of(f"piece.{unit}.{piece['piece']}"), *remove]
            rows.append(self._grows("Add a piece", "add_piece", unit))
            rows += [self._grows("Remove this unit", "remove_unit", unit)] if len(units) > 1 else []
            parts.append((f"The unit: {row['name']}", rows))
        facts = [field for key, field in self.fields.items() if key.startswith("fact.")]
        parts.append(("What gates ask about it and the site", facts))
        ends = [(row["title"], self._of(f"place.{row['place']}")) for row in typed_rows(tables, "places.csv")]
        parts.append(("Both ends", [each for title, fields in ends for each in (_heading(title), *fields)]))
        parts.append(("The way: legs and bridges", self._legs()))
        parts.append(("Votes, meetings, working days", [*self._of("waits"), *self._of("meeting"), *self._of("volunteers")]))
        day = self.museum.scenario.as_of.isoformat()
        given = {"vehicle": self._vehicle, "quoted": day, "match_required": "0 %", "repays": "no", "interest": "0 %",
                 "term": "0", "reimbursement_lag": "0", "spend_before_award": "yes", "restriction": "none"}  # fmt: skip
        self.money = RowForm(self.museum, given, self._add_row, self._undo, ("funds.csv", "quotes.csv"))
        parts.append(("Funds and first quotes", [self.money]))
        kinds = [(kind.title, key) for key, kind in KINDS_OF_UNIT.items()]
        self.kind = widgets.Dropdown(description="Kind of the next unit", options=kinds, style={"description_width": "12em"})
        add = button("Add a unit", "plus", "Add a unit of this kind", self._add_unit)
        parts.append(("Another unit", [self.kind, add]))
        return parts

    def _legs(self) -> list[widgets.Widget]:
        rows: list[widgets.Widget] = []
        bridges = typed_rows(self.interview.tables, "bridges.csv")
        for leg in typed_rows(self.interview.tables, "legs.csv"):
            name, own = leg["leg"], leg["name"]
            rows += [_heading(f"{own} ({leg['mode']})"), *self._of(f"leg.{name}")]
            for bridge in bridges:
                if bridge["leg"] == name:
                    remove = self._grows("Remove", "remove_bridge", bridge["bridge"], of=bridge["title"])
                    rows += [_heading(bridge["title"]), *self._of(f"bridge.{bridge['bridge']}"), remove]
            may = (("Add a bridge", "add_bridge"), ("Add a leg", "add_leg"), ("Remove", "remove_leg"))
            rows.append(widgets.HBox([self._grows(words, what, name, of=own) for words, what in may]))
        return rows

    def _grows(self, words: str, what: str, *ids: str, of: str = "") -> widgets.Button:
        icon = "trash" if what.startswith("remove") else "plus"
        return button(words, icon, f"{words}: {of}" if of else words, lambda: self._grow(self.interview.grow, what, *ids))

    # What is done --------------------------------------------------------------------------------------------------

    def _answer(self, key: str, text: Any) -> None:
        if self._own:
            return
        if key.startswith(("unit.", "piece.")):
            self._vehicle = key.split(".")[1]
        self._do("Not taken up", lambda: self.interview.answer(key, str(text)))

    def _grow(self, grow: Callable[..., Any], *given: str) -> None:
        self._do("Not taken up", lambda: grow(*given))

    def _add_unit(self) -> None:
        self._grow(self.interview.add_unit, self.kind.value)

    def _add_row(self) -> None:
        self._do("Not added", lambda: self.interview.add_row(self.money.table.value, self.money.cells()))

    def _undo(self) -> None:
        self._do("Not undone", lambda: "" if self.interview.undo() else "There is nothing to undo.")

    def _do(self, name: str, work: Callable[[], Any]) -> None:
        """Take something up; what it makes possible, impossible, unknown or known is seen at once."""

        def all_of_it() -> None:
            said = work()
            comparison = self._compared()
            self._follow()
            self._show(comparison, said if isinstance(said, str) else "")

        taken = self.alert.doing(name, all_of_it, "What stands below is from before this answer.")
        self.write.disabled = self.page.disabled = bool(self.interview.waiting)
        if not taken and self.interview.waiting:
            waits = ", ".join(key.replace(".", " ").replace("_", " ") for key in self.interview.waiting)
            self.said.value = markup.note(f"Waiting until it fits the other answers: {waits}.")

    def _follow(self) -> None:
        """Bring the fields up to date: what follows from an answer, or all of them where the museum has grown."""
        asked = self.interview.questions()
        names = [row["name"] for table in ("vehicles.csv", "legs.csv") for row in typed_rows(self.interview.tables, table)]
        if [question.key for question in asked] != list(self.fields) or names != getattr(self, "_names", names):
            self._ask()
        self._names = names
        self._own = True
        try:
            for question in asked:
                if self.fields[question.key].value != question.answer:
                    self.fields[question.key].value = question.answer
        finally:
            self._own = False

    def _compared(self) -> Comparison:
        museum = self.museum
        if self._vehicle not in {row.vehicle for row in museum.vehicles}:
            self._vehicle = museum.vehicles[0].vehicle
        self._samples = simulation.draw(museum, trials=_TRIALS, previous=self._samples)
        return compare_paths(museum, self._vehicle, {}, self._samples, self._memo)

    def _write(self) -> None:
        """Write what changed; a folder that is not there yet appears whole."""
        files: list[str] = []

        def work() -> None:
            files.extend(self.interview.write())
            self._ask()

        if self.alert.doing("Not written", work, "The tables are as they were."):
            what = ", ".join(files) or "nothing had changed"
            self.alert.value = f'<div role="status">{markup.note(f"Written into {self.folder}: {what}.")}</div>'

    def _page(self) -> None:
        """Write the page from the tables as they are written, with as many trials as museum.toml says."""
        written: list[Path] = []

        def work() -> None:
            if not self.folder.exists():
                raise ValueError("found no tables; allowed: a page of tables that are written")
            museum = load_museum(self.folder)
            answer = compare_paths(museum, self._vehicle, {}, simulation.draw(museum))
            place = self.folder.parent if self.folder.is_file() else self.folder
            written.append(page.write_report(answer, place / f"{self._vehicle}_page.html", replace=True))

        if self.alert.doing("No page", work, "Write the tables first."):
            self.alert.value = f'<div role="status">{markup.note(f"Written: {written[0]}.")}</div>'

    # What is shown -------------------------------------------------------------------------------------------------

    def _show(self, comparison: Comparison, said: str = "") -> None:
        before, self._paths = self._paths, comparison.paths
        count = self.interview.answers
        told = [f"{count} answer{'' if count == 1 else 's'} so far."]
        told += [f"Understood: {said}."] if said and said != "There is nothing to undo." else [said] if said else []
        if before:
            for each in became(before, comparison.paths)[:4]:
                told.append(f"Path {each.number} is now {each.state}" + "".join(f": {why}" for why in each.why[:1]))
            left = [each.title for each in taken_out(before, comparison.paths)]
            told += [f"No longer here: {'; '.join(left)}."] if left else []
        self.said.value = f'<div role="status">{markup.paragraphs(told)}</div>'
        stand = standings(comparison.paths).values()
        rows = [(f"{each.number} {each.title}", each.state, _in_short(each.why)) for each in stand]
        headings = ("Path", "It is", "Because of, or until known")
        table = markup.table("Where the paths stand", headings, rows, (36, 20, 44))
        self.opened.value = self._verdict(comparison) + table + self._next(comparison)

    def _verdict(self, comparison: Comparison) -> str:
        decision = comparison.decision
        first, *rest = decision.sentence.split(". ", 2)
        begins = ". ".join([first, *rest[:1]])
        return markup.large(begins + ".") + markup.unfold("In full", markup.paragraph(decision.sentence))

    def _next(self, comparison: Comparison) -> str:
        """List what is worth finding out, what no typical range stands for first."""
        found = worth_finding(comparison)
        rows = [(row.what, row.find or "ask or measure", row.who) for row in found]
        caption = f"Find out next ({len(found)} things still unknown)"
        headings = ("What", "How", "Who")
        more = markup.unfold("All of it", markup.table(caption, headings, rows[_NEXT:])) if len(rows) > _NEXT else ""
        return markup.table(caption, headings, rows[:_NEXT]) + more


def _in_short(reasons: tuple[str, ...]) -> str:
    """Return the first of reasons, and how many more there are."""
    first = next(iter(reasons), "-")
    first = first if len(first) <= 70 else first[:67].rsplit(" ", 1)[0] + " ..."
    return f"{first} (and {len(reasons) - 1} more)" if len(reasons) > 1 else first


def _heading(text: str) -> widgets.HTML:
    return widgets.HTML(f"<h4 style='color:inherit;margin:8px 0 2px'>{escape(text)}</h4>")


def _field(question: Question) -> widgets.Widget:
    """Return the field of a question; what may be written in it stands in it while it is empty, and under the mouse."""
    label = question.short + (f" [{question.unit}]" if question.unit else "")
    shown = {
        "description": label[:1].upper() + label[1:],
        "tooltip": f"{question.named}: {question.allowed}",
        "style": {"description_width": "min(19em, 52%)"},
        "layout": widgets.Layout(width="98%"),
    }
    if question.choices:
        words = [(_TITLES.get(choice, choice.replace("_", " ")) or "unknown", choice) for choice in question.choices]
        field = widgets.Dropdown(options=words, value=question.answer, **shown)
    else:
        field = widgets.Text(value=question.answer, placeholder=question.allowed, continuous_update=False, **shown)
    return field.add_class(f"hm-{question.key.replace('.', '-')}")
