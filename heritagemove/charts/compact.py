"""Make an SVG small without changing a mark of it: what no viewer draws is left out."""

from __future__ import annotations

import re

_ID = re.compile(r'\bid="([^"]+)"')
_USED = re.compile(r'(?:url\(#|href="#)([^")]+)')
# A letter's place in its line and its outline are in sixty-fourths of a hundredth of the type size: whole numbers do.
_LETTER = re.compile(r' transform="translate\(([-\d.]+)(?: 0)?\)"(?=/>)')
_OUTLINE = re.compile(r'\bd="([^"]*)" transform="scale\(([\d.]+)\)"')
#: Points of a letter's outline are set on a grid this much coarser: a 512th of the type size still.
_COARSER = 4
_NUMBER = re.compile(r"-?\d+\.\d+")
_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"


def compact(svg: str) -> str:
    """Return an SVG without its preamble, metadata, comments, unused names and needless digits.

    Numbers keep two decimals, a fiftieth of a point's hundredth on paper; factors of a scale keep six.

    Examples
    --------
    >>> compact('<?xml version="1.0"?><svg><!-- a --><g id="one"><path d="M 0.123456 2 L 3 4 "/></g></svg>')
    '<svg><path d="M.12,2L3,4"/></svg>'
    """
    svg = re.sub(r"<\?xml.*?\?>|<!DOCTYPE.*?>|<metadata>.*?</metadata>|<!--.*?-->", "", svg, flags=re.S)
    used = {name: _name(number) for number, name in enumerate(dict.fromkeys(_USED.findall(svg)))}
    svg = _ID.sub(lambda match: f'id="{used[match[1]]}"' if match[1] in used else "", svg)
    svg = _USED.sub(lambda match: match[0][: match.start(1) - match.start(0)] + used[match[1]], svg)
    svg = re.sub(r"scale\([^)]*\)|" + _NUMBER.pattern, _short, svg)
    svg = _LETTER.sub(lambda match: f' x="{float(match[1]):.0f}"' if float(match[1]) else "", svg)
    svg = _OUTLINE.sub(_letter, svg)
    svg = re.sub(r'\bd="([^"]*)"', lambda match: f'd="{_path(match[1])}"', svg)
    svg = re.sub(r"#([0-9a-f])\1([0-9a-f])\2([0-9a-f])\3\b", r"#\1\2\3", svg)  # #ffffff is #fff
    svg = svg.replace("xlink:href", "href").replace(' xmlns:xlink="http://www.w3.org/1999/xlink"', "")
    svg = re.sub(r"\s+", " ", svg)
    svg = re.sub(r" ?(/?>) ?", r"\1", svg)
    svg = re.sub(r"> <", "><", svg)
    return _without_bare_groups(re.sub(r"([:;]) ", r"\1", svg).strip())


def _without_bare_groups(svg: str) -> str:
    """Leave out groups that set nothing: what is in them is drawn alike."""
    kept: list[bool] = []

    def tag(match: re.Match[str]) -> str:
        if match[0].endswith("/>"):
            return ""
        if match[0] != "</g>":
            kept.append(match[0] != "<g>")
            return match[0] if kept[-1] else ""
        return match[0] if kept.pop() else ""

    return re.sub(r"<g\b[^>]*>|</g>", tag, svg)


def _name(number: int) -> str:
    first, second = divmod(number, len(_LETTERS))
    return (_LETTERS[first - 1] if first else "") + _LETTERS[second]


def _short(match: re.Match[str]) -> str:
    if match[0].startswith("scale"):
        return _NUMBER.sub(lambda number: _trim(float(number[0]), 6), match[0])
    return _trim(float(match[0]), 2)


def _trim(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return re.sub(r"^(-?)0\.", r"\1.", text) if text not in ("-0", "") else "0"


def _path(data: str) -> str:
    # A comma parts two numbers as a blank does, and an address holds it as it is.
    return re.sub(r" ?([A-Za-z]) ?", r"\1", " ".join(data.split())).replace(" -", "-").replace(" ", ",")


def _letter(match: re.Match[str]) -> str:
    return f'd="{_relative(match[1])}" transform="scale({_trim(float(match[2]) * _COARSER, 6)})"'


def _relative(data: str) -> str:
    """Return a letter's outline on the coarser grid, each point counted from the one before."""
    out: list[str] = []
    at = start = (0, 0)
    for command, numbers in re.findall(r"([MLQCz])([^MLQCz]*)", data):
        values = [round(float(number) / _COARSER) for number in numbers.split()]
        points = list(zip(values[::2], values[1::2], strict=True))
        out.append(command.lower() + " ".join(f"{x - at[0]} {y - at[1]}" for x, y in points))
        at = points[-1] if points else start
        start = at if command == "M" else start
    return "".join(out).replace(" -", "-")
