"""What each fund means to a plan, and which sets of units the money carries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heritagemove.museum.rows.funds import Fund
from heritagemove.whole_site.best_set import Plan
from heritagemove.whole_site.fleet import Fleet, Option
from heritagemove.whole_site.funding import BankForecast, account, bank_forecast, money_granted
from heritagemove.whole_site.payments import payments


@dataclass(frozen=True)
class WithoutFund:
    """What one fund gives to a plan, and what its loss does to it."""

    fund: Fund
    # what of it the plan can use where it is granted, with the museum's confidence; of a loan, what is drawn [USD]
    usable_usd: float
    lasts: float  # chance that the money lasts if this fund is lost and the others come with their chances
    lasts_with_others: float  # the same if all others come for certain
    # lowest balance kept with the museum's confidence, before loans, if it is lost and all others come [USD]
    trough_usd: float
    # whether the plan holds with the museum's confidence when every fund comes, and no longer without this one; None where
    # it does not hold even then: no single fund breaks what is not whole
    breaks: bool | None


def without_each(fleet: Fleet, options: Sequence[Option]) -> tuple[WithoutFund, ...]:
    """Return, fund by fund, what the plan can use of it and what its loss does."""
    made = payments(fleet.museum, options, fleet.samples)
    every = [row.fund for row in fleet.museum.funds]
    all_come = account(fleet, options, made, sure=every)
    holds = float(all_come.lasts.mean()) >= fleet.confidence
    found = []
    for row in fleet.museum.funds:
        stands = account(fleet, options, made, lost=[row.fund])
        others = account(fleet, options, made, lost=[row.fund], sure=[fund for fund in every if fund != row.fund])
        lasts = float(others.lasts.mean())
        used = all_come.drawn if row.repays == "loan" else all_come.received[row.fund]
        found.append(
            WithoutFund(
                fund=row,
                usable_usd=float(np.quantile(used.sum(axis=1), 1 - fleet.confidence)),
                lasts=float(stands.lasts.mean()),
                lasts_with_others=lasts,
                trough_usd=others.trough(fleet.confidence),
                breaks=lasts < fleet.confidence if holds else None,
            )
        )
    return tuple(found)


@dataclass(frozen=True)
class Carried:
    """One set of units against the money."""

    plan: Plan
    covered: float  # chance that the receipts cover the payments in the end, whatever their dates
    lasts: float  # chance that the money lasts in every month, loans included
    bridge_usd: float  # loan that keeps the balance above zero with the museum's confidence [USD]


def carried(fleet: Fleet, plans: Sequence[Plan], lost: Sequence[str] = (), sure: Sequence[str] = ()) -> tuple[Carried, ...]:
    """Return for each set of units how likely the money carries it.

    Parameters
    ----------
    plans : sequence of Plan
        As :func:`heritagemove.whole_site.best_set.frontier` gives them; the set of nobody is passed over.
    lost, sure : sequence of str
        Funds that are certainly not granted, and funds that certainly are.
    """
    found = []
    for plan in plans:
        if plan.options:
            seen: BankForecast = bank_forecast(fleet, plan.options, lost, sure)
            bridge = float(np.quantile(seen.bridge, fleet.confidence))
            found.append(Carried(plan, float(seen.covered.mean()), float(seen.lasts.mean()), bridge))
    return tuple(found)


def sure_money(fleet: Fleet, lost: Sequence[str] = (), sure: Sequence[str] = ()) -> float:
    """Return the money that is granted with at least the museum's confidence, whatever its rules [USD].

    Parameters
    ----------
    lost, sure : sequence of str
        Funds that are certainly not granted, and funds that certainly are.
    """
    values = money_granted(fleet.museum, fleet.samples, lost, sure)
    return float(np.quantile(values, 1 - fleet.confidence, method="lower"))
