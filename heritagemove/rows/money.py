"""Money: funds, quotes, invoices."""

from __future__ import annotations

from pydantic import Field

from heritagemove.rows.common import BASIS, SOURCE, Basis
from heritagemove.tables import (
    Date,
    Identifier,
    Identifiers,
    OptionalDate,
    OptionalText,
    Probability,
    Row,
    Text,
    YesNo,
    choice,
    quantity,
)


class Fund(Row):
    """One source of money."""

    fund: Identifier = Field(description="id of the fund")
    title: Text = Field(description="name")
    amount: quantity("USD") = Field(description="amount")
    probability: Probability = Field(description="probability that it is granted")
    earliest: Date = Field(description="earliest date it can be spent or drawn")
    latest: OptionalDate = Field(description="latest date")
    restriction: Text = Field(description="what it may be spent on")
    match_required: quantity("percent") = Field(description="share that other money must match")
    repays: choice("no", "after_invoice", "loan", "in_kind") = Field(description="how it comes and whether it goes back")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Quote(Row):
    """One quote received."""

    quote: Identifier = Field(description="id of the quote")
    vehicle: Identifier = Field(description="unit")
    path: Identifier = Field(description="path")
    lines: Identifiers = Field(description="cost lines it covers")
    vendor: Text = Field(description="firm")
    amount: quantity("USD") = Field(description="amount")
    quoted: Date = Field(description="date")
    valid_until: Date = Field(description="last day it holds")
    inclusions: OptionalText = Field(description="what is in it")
    exclusions: OptionalText = Field(description="what is not")
    standby: quantity("USD", blank=True) = Field(description="standby charge an hour")
    cancellation: OptionalText = Field(description="terms of cancelling")
    firmness: choice("firm", "budgetary") = Field(description="whether it binds")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)


class Actual(Row):
    """One invoice."""

    invoice: Identifier = Field(description="id of the invoice")
    invoiced: Date = Field(description="date")
    vehicle: Identifier = Field(description="unit")
    path: Identifier = Field(description="path")
    line: Identifier = Field(description="cost line")
    vendor: Text = Field(description="firm or role")
    amount: quantity("USD") = Field(description="amount")
    paid: YesNo = Field(description="whether it is paid")
    note: OptionalText = Field(description="note")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
