"""Earned value: an independent cross-check of the cost at completion from what is done and what it cost."""

from __future__ import annotations

from dataclasses import dataclass

from heritagemove.units.units import PlannerError


@dataclass(frozen=True)
class EarnedValue:
    """Earned value of a project at a status date."""

    budget_usd: float  # BAC, budget at completion [USD]
    # PV (BCWS), EV (BCWP) and AC (ACWP) to date [USD]
    planned_usd: float
    earned_usd: float
    actual_usd: float

    @property
    def cost_index(self) -> float | None:
        """CPI = EV / AC; None while nothing has been paid."""
        return self.earned_usd / self.actual_usd if self.actual_usd else None

    @property
    def schedule_index(self) -> float | None:
        """SPI = EV / PV; None while nothing was planned to be done."""
        return self.earned_usd / self.planned_usd if self.planned_usd else None

    @property
    def at_completion_usd(self) -> float | None:
        """EAC = AC + (BAC - EV) / CPI [USD]: the rest costs as the past did; None while that is unknown."""
        return self.actual_usd + (self.budget_usd - self.earned_usd) / self.cost_index if self.cost_index else None

    @property
    def at_completion_as_budgeted_usd(self) -> float:
        """EAC = AC + (BAC - EV) [USD]: the rest costs what was budgeted."""
        return self.actual_usd + self.budget_usd - self.earned_usd


def earned_value(budget_usd: float, planned_usd: float, earned_usd: float, actual_usd: float) -> EarnedValue:
    """Return the earned value of a project at a status date.

    CPI = EV / AC, SPI = EV / PV, EAC = AC + (BAC - EV) / CPI, TCPI = (BAC - EV) / (BAC - AC).

    Parameters
    ----------
    budget_usd : float
        BAC, budget at completion [USD], above 0.
    planned_usd : float
        PV, budgeted cost of the work that was planned to be done by now [USD].
    earned_usd : float
        EV, budgeted cost of the work that is done [USD].
    actual_usd : float
        AC, what the work done has cost [USD].

    Raises
    ------
    ValueError
        If the budget is not above 0, another amount is below 0, or more is planned or earned than the budget.

    References
    ----------
    PMP Training Kit, Microsoft Press, 2013, chapter on cost management, answers to the exercises: ten offices at
    50,000 USD, five built after 12 of 20 months for 310,000 USD. (It rounds CPI to 0.81 before it divides and so
    prints 617,283.95 where the formula gives 620,000.)

    Examples
    --------
    >>> value = earned_value(500_000, 300_000, 250_000, 310_000)
    >>> round(value.cost_index, 2), round(value.schedule_index, 2), value.at_completion_as_budgeted_usd
    (0.81, 0.83, 560000)
    """
    amounts = {"planned": planned_usd, "earned": earned_usd, "actual": actual_usd}
    if not budget_usd > 0:
        raise PlannerError(f"budget at completion: found {budget_usd:,.0f}; allowed: more than 0")
    for name, usd in amounts.items():
        most = float("inf") if name == "actual" else budget_usd * (1 + 1e-9)
        if not 0 <= usd <= most:
            raise PlannerError(f"{name} to date: found {usd:,.0f}; allowed: 0 to the budget, {budget_usd:,.0f}")
    return EarnedValue(budget_usd, planned_usd, earned_usd, actual_usd)
