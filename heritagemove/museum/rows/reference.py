"""Published limits, ratings and cautions in data/reference."""

from __future__ import annotations

from pydantic import Field

from heritagemove.files.tables import (
    Identifier,
    Identifiers,
    Number,
    OptionalDate,
    OptionalIdentifier,
    OptionalText,
    Row,
    Text,
    YesNo,
    cell,
    choice,
    quantity,
)
from heritagemove.museum.rows.common import BASIS, Basis, JournalSize, Strength
from heritagemove.units import units


def _share(text: str) -> float:
    number = units.parse_number(text)
    if not 0 < number < 1:
        raise ValueError("outside 0 to 1")
    return number


#: Neither 0 nor 1: no single sight from the ground decides alone, and a mistake can still be outvoted.
Likelihood = cell(float, "a share above 0 and below 1", _share)


class Limit(Row):
    """One published limit or planning policy."""

    limit: Identifier = Field(description="id of the limit")
    title: Text = Field(description="what it limits")
    value: Number = Field(description="value")
    unit: OptionalText = Field(description="unit; blank for a plain number")
    strength: Strength = Field(description="whether the source itself was read, a page that quotes it, or neither")
    source: Text = Field(description="title, edition, section")
    as_of: OptionalDate = Field(description="date of the edition, or the day the source was read where it has none")
    confirm_with: Text = Field(description="who must confirm it before it is relied on")


class JournalRating(Row):
    """What one axle on a journal of one size may carry."""

    journal: JournalSize = Field(description="journal size, inches")
    service: choice("freight", "passenger", "tender") = Field(description="service the rating is for")
    journal_class: Text = Field(description="class letter")
    axle_rating: quantity("lb") = Field(description="load of one axle")
    strength: Strength = Field(description="as in limits.csv")
    source: Text = Field(description="title, edition, section")
    as_of: OptionalDate = Field(description="date of the text")
    confirm_with: Text = Field(description="who must confirm it")


class Caution(Row):
    """One safety caution and the screens it stands on."""

    caution: Identifier = Field(description="id of the caution")
    screens: Identifiers = Field(description="screens: every, survey, hazards, steam, jacking, lifting, rail, road, money")
    topic: Text = Field(description="topic")
    text: Text = Field(description="the caution")
    source: Text = Field(description="rule behind it")


class Clue(Row):
    """How likely one sight at a journal box is with each kind of bearing; the row prior is what holds before any."""

    clue: Identifier = Field(description="what is looked for, as in survey.csv; prior: before anyone has looked")
    found: Identifier = Field(description="what is found; the shares of a clue's rows add up to 1 in each column")
    plain: Likelihood = Field(description="share of plain-bearing boxes that show it; prior: share of all boxes")
    roller: Likelihood = Field(description="the same for roller bearings")
    converted_roller: Likelihood = Field(description="the same for roller bearings in a converted plain-bearing box")
    sight: choice("outside", "opens", "open_only") = Field(
        description="outside: seen with the lid shut; opens: it shows that the box was looked into; "
        "open_only: counts only at a box that was looked into"
    )
    meaning: Text = Field(description="what it means")
    basis: Basis = Field(description=BASIS)
    strength: Strength = Field(description="how well the clue itself is sourced; the shares are judgment")
    source: Text = Field(description="title, edition, page")
    confirm_with: Text = Field(description="who must confirm it")


class Readiness(Row):
    """One thing that must be right before a unit moves on its own wheels."""

    item: Identifier = Field(description="id of the item")
    subject: choice("bearing", "wheel", "brake", "draft_gear", "safety_appliance", "age") = Field(description="group")
    title: Text = Field(description="what must be so")
    kinds: Identifiers = Field(description="kinds of unit it applies to; blank: every kind")
    bearings: Identifiers = Field(description="bearing types it applies to; blank: every type")
    clue: OptionalIdentifier = Field(description="clue of survey.csv that answers it, or blank where a measure does")
    good: Identifiers = Field(description="what the survey must have found")
    each_box: YesNo = Field(description="whether every journal box must be looked at")
    measure: OptionalIdentifier = Field(description="column of vehicles.csv that is compared, or age [year]")
    least: OptionalIdentifier = Field(description="limit of limits.csv, in the measure's unit, that it must reach")
    most: OptionalIdentifier = Field(description="limit of limits.csv, in the measure's unit, that it must stay under")
    otherwise: choice("defect", "caution") = Field(description="what it is when it is not so")
    defect: Text = Field(description="what counts against it")
    rule: Text = Field(description="the rule")
    strength: Strength = Field(description="as in limits.csv")
    as_of: OptionalDate = Field(description="date of the text")
    signs: Text = Field(description="who decides and signs")
    gates: Identifiers = Field(description="gates of gates.csv that rest on it")
