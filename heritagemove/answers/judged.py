"""Whether money decides on what is bought or found out, and what it says: what is asked for safety or law is not judged."""

from __future__ import annotations

#: Verdicts on what is bought or found out.
NEEDED = "needed for safety or law, whatever it costs"
WORTH_IT, NOT_WORTH_IT, TOO_CLOSE = "worth more than it costs", "costs more than it is worth", "too close to call"

#: A difference of means is told from chance where it is more than so many of its standard errors.
_ERRORS = 2.0


def judged(net_usd: float, error_usd: float, needed_for: str | None) -> str:
    """Return whether something is worth more than it costs, as far as the trials can tell.

    Parameters
    ----------
    net_usd, error_usd : float
        What it is worth above its price, and the standard error of that [USD].
    needed_for : {"safety", "law"} or None
        What asks for it, whatever it costs.

    Examples
    --------
    >>> judged(-700.0, 10.0, "law"), judged(-700.0, 10.0, None)
    ('needed for safety or law, whatever it costs', 'costs more than it is worth')
    """
    if needed_for:
        return NEEDED
    if abs(net_usd) <= _ERRORS * error_usd:
        return TOO_CLOSE
    return WORTH_IT if net_usd > 0 else NOT_WORTH_IT
