from heritagemove.files.cells import Identifier, Text, YesNo, cell, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, PROVENANCE, Basis, Strength
from heritagemove.units import units


def _share(text: str) -> float:
    number = units.parse_number(text)
    if not 0 < number < 1:
        raise ValueError("outside 0 to 1")
    return number


#: Neither 0 nor 1: no single sight from the ground decides alone, and a mistake can still be outvoted.
Likelihood = cell(float, "a share above 0 and below 1", _share)


class Clue(Row, read_by="gates"):
    """How likely one sight at a journal box is with each kind of bearing; the row prior is what holds before any."""

    clue: Identifier = column("what is looked for, as in survey.csv; prior: before anyone has looked", key=True)
    found: Identifier = column("what is found; the shares of a clue's rows add up to 1 in each column", key=True)
    plain: Likelihood = column("share of plain-bearing boxes that show it; prior: share of all boxes")
    roller: Likelihood = column("the same for roller bearings")
    converted_roller: Likelihood = column("the same for roller bearings in a converted plain-bearing box")
    sight: choice("outside", "opens", "open_only") = column(
        "outside: seen with the lid shut; opens: it shows that the box was looked into; "
        "open_only: counts only at a box that was looked into"
    )
    worst: YesNo = column(
        "yes: of what may be found for this clue, what speaks most against a roller bearing that every carrier takes",
        read_by=PROVENANCE,
    )
    meaning: Text = column("what it means", read_by="screens")
    basis: Basis = BASIS
    strength: Strength = column("how well the clue itself is sourced; the shares are judgment", read_by=PROVENANCE)
    source: Text = column("title, edition, page", read_by=PROVENANCE)
    confirm_with: Text = column("who must confirm it", read_by=PROVENANCE)
