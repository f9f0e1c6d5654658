"""Terms that explain themselves: under the mouse and the keyboard, without a script."""

from __future__ import annotations

from html import escape

from heritagemove.units.terms import terms_in

#: What is told of a term stands beside it and shows while mouse or keyboard is on it. Fixed, so that no table cuts it off.
GLOSS_STYLE = """<style>.hm-term { text-decoration: underline dotted; text-underline-offset: 2px; cursor: help; }
.hm-term > span { display: none; position: fixed; z-index: 9; max-width: 20em; padding: 4px 8px; margin-top: 1.4em;
white-space: normal; text-align: left; font-size: 13px; font-weight: normal; line-height: 1.3; border-radius: 3px;
color: #1a1a1a; background: #fffbe6; border: 1px solid #555; }
.hm-term:hover > span, .hm-term:focus > span { display: block; }</style>"""


def glossed(text: str, seen: set[str]) -> str:
    """Return a text as markup in which each term explains itself where it stands first.

    Parameters
    ----------
    seen : set of str
        Names of terms that were explained before, in the same table; those of this text are added.
    """
    parts = []
    for part, term in terms_in(text):
        if term is None or term.name in seen:
            parts.append(escape(part))
            continue
        seen.add(term.name)
        says = escape(term.says)
        parts.append(
            f'<span class="hm-term" tabindex="0" role="note" aria-description="{says}">{escape(part)}'
            f'<span aria-hidden="true">{says}</span></span>'
        )
    return "".join(parts)
