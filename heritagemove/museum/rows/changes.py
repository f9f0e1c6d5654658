from heritagemove.files.cells import Count, Date, OptionalText, Text
from heritagemove.files.tables import Row
from heritagemove.files.tables import column as describe  # a column of this table is called column


class Change(Row, read_by="screens"):
    """One value amended in a table."""

    changed: Date = describe("day of the change")
    who: Text = describe("role that changed it")
    table: Text = describe("file, such as rates.csv", refers_to="tables", also=("museum.toml",))
    row: Count = describe("row number in the spreadsheet's margin")
    column: Text = describe("column")
    was: OptionalText = describe("what the cell held before")
    now: OptionalText = describe("what it holds since")
    why: Text = describe("reason")
