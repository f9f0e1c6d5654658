from heritagemove.files.cells import Count, Date, OptionalText, Text
from heritagemove.files.tables import Row
from heritagemove.files.tables import column as describe  # a column of this table is called column


class Change(Row, read_by="screens"):
    """One value amended in a table, or one row added or taken out again."""

    changed: Date = describe("day of the change")
    who: Text = describe("role that changed it")
    table: Text = describe("file, such as rates.csv", refers_to="tables", also=("museum.toml",))
    row: Count = describe("row number in the spreadsheet's margin")
    column: OptionalText = describe("column; blank: the whole row came or went")
    was: OptionalText = describe("what the cell held before, or the row that went")
    now: OptionalText = describe("what it holds since, or the row that came")
    why: Text = describe("reason")
