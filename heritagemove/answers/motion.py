"""What a board is asked to resolve: its parts, whole for the paper and in so many words for a screen."""

from __future__ import annotations

from dataclasses import dataclass

from heritagemove.compare import decision
from heritagemove.compare.results import Comparison, PathResult
from heritagemove.trials.playing import AS_FOUND
from heritagemove.units.words import lowered, show_rounded

#: What the board is asked where no path can be taken.
_INSTEAD = {
    "not yet": "That the museum not decide yet, and find out first what is listed here.",
    "too late": "That the museum ask the owner for more time, and decline and record the unit if it gets none.",
    "beyond means": "That the museum decline and record the unit, unless more money is found for it.",
    "blocked": "That the museum decline and record the unit, unless what stops it can be changed.",
}
#: Of the answers that a resolution waits for, so many are named.
_NAMED = 2


@dataclass(frozen=True)
class Motion:
    """A resolution; of one where no path can be taken, `instead` is all there is."""

    instead: str
    money: str = ""  # what is released, with its currency
    deed: str = ""  # what is done, whole, with the number of its path
    briefly: str = ""  # the same, up to its first comma
    subject: tuple[str, ...] = ()  # titles of the gates that it is subject to
    provisional: bool = False
    tie: tuple[int, ...] = ()  # numbers of paths that are as good

    def in_full(self) -> str:
        """Return the resolution as it is read aloud."""
        if self.instead:
            return self.instead
        named = " and ".join(f"“{title}”" for title in self.subject)
        return f"{self._release()} and {self.deed}{f', subject to {named}' if named else ''}."

    def variants(self) -> tuple[str, ...]:
        """Return the resolution shorter and shorter, each a whole sentence."""
        if self.instead:
            return (self.instead,)
        count = len(self.subject)
        if_yes = f", if {count} answers are yes" if count > 1 else ", if one answer is yes" if count else ""
        short = f"{self._release()} and {self.briefly}"
        return self.in_full(), f"{short}{if_yes}.", f"{short}."

    def _release(self) -> str:
        return f"That the museum{', for now,' if self.provisional else ''} release {self.money}"


def motion(comparison: Comparison) -> Motion:
    """Return what the board is asked to resolve of one unit."""
    found = comparison.decision
    if found.path is None:
        return Motion(_INSTEAD[found.verdict])
    choice = comparison.path(found.path)
    titles = gate_titles(choice)
    likeliest = sorted((f for f in choice.findings if f.status == "open"), key=lambda f: -f.refusal)
    asked = [found.hinge.gate] if found.hinge else []
    asked += [f.gate.gate for f in likeliest if f.refusal >= decision.LIKELY_REFUSAL]
    return Motion(
        "",
        f"{show_rounded(found.budget.at_confidence)} {comparison.museum.scenario.currency}",
        deed(choice, whole=True),
        deed(choice),
        tuple(titles[gate] for gate in list(dict.fromkeys(asked))[:_NAMED]),
        bool(found.provisional_on),
        tuple(comparison.path(path).number for path in found.tie_with),
    )


def gate_titles(choice: PathResult) -> dict[str, str]:
    """Return the titles of a path's gates by their ids, and of what the survey finds."""
    return {f.gate.gate: f.gate.title for f in choice.findings} | {AS_FOUND: "what the scale and the survey find"}


def deed(result: PathResult, whole: bool = False) -> str:
    """Return what is done, up to its first comma or whole, with the number of the path behind it."""
    return f"{lowered(result.title if whole else result.title.partition(',')[0] or result.title)} (path {result.number})"
