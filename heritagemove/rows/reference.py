"""Published limits, ratings and cautions in data/reference."""

from __future__ import annotations

from pydantic import Field

from heritagemove.rows.common import JournalSize, Strength
from heritagemove.tables import Identifier, Identifiers, Number, OptionalDate, OptionalText, Row, Text, choice, quantity


class Limit(Row):
    """One published limit or planning policy."""

    limit: Identifier = Field(description="id of the limit")
    title: Text = Field(description="what it limits")
    value: Number = Field(description="value")
    unit: OptionalText = Field(description="unit; blank for a plain number")
    strength: Strength = Field(description="whether the source itself was read, a page that quotes it, or neither")
    source: Text = Field(description="title, edition, section")
    as_of: OptionalDate = Field(description="date of the text")
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
