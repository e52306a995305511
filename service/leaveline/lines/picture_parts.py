"""What every picture is drawn with: SVG elements, ink, marks and small racks.

A picture is 360 units wide, one unit to a pixel on a narrow phone, with x = 0 in its middle, so
that a left-hander's picture is a right-hander's with every x turned round. Shapes are told in
absolute coordinates and carry their meaning by form as well as by tone, so that nothing is lost
in black and white. Styles are plain attributes: no style sheet, no script.
"""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET  # nosec B405 # writes XML, parses none
from collections.abc import Iterable, Mapping, Sequence

from leaveline.pins.deck import COLUMN, ROW
from leaveline.pins.leave import PIN_COUNT

Point = tuple[float, float]
Element = ET.Element

HALF_WIDTH = 180.0
FONT = "system-ui, 'Segoe UI', Roboto, 'DejaVu Sans', sans-serif"
SMALL, NORMAL, LARGE = 12.0, 13.0, 17.0
LEAST_SIZE = 10.5
"""Letters any smaller are not read on a phone."""
EM_WIDTHS = {
    **dict.fromkeys("ijl'", 0.28), **dict.fromkeys(" .,:", 0.33), **dict.fromkeys("-ftr", 0.4),
    **dict.fromkeys("cksz", 0.57), **dict.fromkeys("mwMW%", 0.97),
}  # fmt: skip
USUAL_EM_WIDTH, BOLD_WIDER = 0.63, 1.1
"""How wide letters are in the widest of the fonts [em]."""

INK = "#17232b"
SOFT_INK = "#4a5860"  # 7:1 on white
FAINT = "#b9c2c7"
PAPER = "#ffffff"
FLOOR = "#f3f1ec"
TONES = ("#ffffff", "#f6e9c9", "#e8c885", "#c9953f", "#8f5a1c", "#452a0c")
"""From least to most; each clearly darker than the last also without colour."""
OIL_TONES = (PAPER, "#f8efd9", "#f0dfb6", "#e5c98b", "#d6b062")
"""The same, light enough for marks to stand on."""
ROOM = "#0b6a66"


def figure(
    *, height: float, title: str, description: str, data: Mapping[str, str | float]
) -> Element:
    """Begin a picture: an SVG root with its title, description and numbers."""
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"{number(-HALF_WIDTH)} 0 {number(2 * HALF_WIDTH)} {number(height)}",
            "width": number(2 * HALF_WIDTH),
            "height": number(height),
            "role": "img",
            "aria-labelledby": "picture-title picture-description",
            "font-family": FONT,
            "fill": INK,
            **{f"data-{name}": _plain(value) for name, value in data.items()},
        },
    )
    ET.SubElement(root, "title", {"id": "picture-title"}).text = title
    ET.SubElement(root, "desc", {"id": "picture-description"}).text = description
    definitions = ET.SubElement(root, "defs")
    hatch = ET.SubElement(
        definitions,
        "pattern",
        {"id": "room", "width": "5", "height": "5", "patternUnits": "userSpaceOnUse"},
    )
    shape(hatch, [[(0, 2.5), (5, 2.5)]], stroke=ROOM, width=1.3, closed=False)
    shape(root, box(-HALF_WIDTH, 0, HALF_WIDTH, height), fill=PAPER)
    return root


def write(root: Element) -> str:
    """The picture as text; the same picture gives the same text."""
    return ET.tostring(root, encoding="unicode") + "\n"


def group(parent: Element, part: str, **data: str | float) -> Element:
    """A named part of the picture, with the numbers it draws."""
    named = {f"data-{name.replace('_', '-')}": _plain(value) for name, value in data.items()}
    return ET.SubElement(parent, "g", {"data-part": part, **named})


def text(
    parent: Element,
    at: Point,
    words: str,
    *,
    size: float = NORMAL,
    anchor: str = "middle",
    bold: bool = False,
    fill: str = INK,
    within: float | None = None,
) -> None:
    """Write words with their baseline at a point, smaller where they would be wider than said."""
    style = {"font-weight": "700"} if bold else {}
    if within is not None:
        wide = em_width(words) * (BOLD_WIDER if bold else 1.0)
        size = min(size, math.floor(10 * within / wide) / 10)
    element = ET.SubElement(
        parent,
        "text",
        {
            "x": number(at[0]),
            "y": number(at[1]),
            "font-size": number(size),
            "text-anchor": anchor,
            "fill": fill,
            **style,
        },
    )
    element.text = words


def shape(
    parent: Element,
    loops: Sequence[Sequence[Point]],
    *,
    fill: str = "none",
    stroke: str = "none",
    width: float = 1.0,
    dashes: str = "",
    closed: bool = True,
) -> None:
    """Draw one or more loops (or open lines) of straight pieces."""
    end = "Z" if closed else ""
    attributes = {
        "d": "".join("M" + "L".join(f"{number(x)} {number(y)}" for x, y in p) + end for p in loops),
        "fill": fill,
    }
    if stroke != "none":
        attributes |= {
            "stroke": stroke,
            "stroke-width": number(width),
            "stroke-linejoin": "round",
            "stroke-linecap": "butt" if dashes else "round",
        }
    if dashes:
        attributes["stroke-dasharray"] = dashes
    ET.SubElement(parent, "path", attributes)


def line(
    parent: Element, points: Sequence[Point], *, width: float = 1.0, dashes: str = "",
    stroke: str = INK,
) -> None:  # fmt: skip
    """Draw an open line."""
    shape(parent, [points], stroke=stroke, width=width, dashes=dashes, closed=False)


def circle(
    parent: Element,
    at: Point,
    radius: float,
    *,
    fill: str = "none",
    stroke: str = "none",
    width: float = 1.0,
    dashes: str = "",
) -> None:
    """Draw a circle."""
    attributes = {
        "cx": number(at[0]), "cy": number(at[1]), "r": number(radius), "fill": fill,
    }  # fmt: skip
    if stroke != "none":
        attributes |= {"stroke": stroke, "stroke-width": number(width)}
    if dashes:
        attributes["stroke-dasharray"] = dashes
    ET.SubElement(parent, "circle", attributes)


def box(left: float, top: float, right: float, bottom: float) -> list[list[Point]]:
    """The outline of an upright rectangle."""
    return [[(left, top), (right, top), (right, bottom), (left, bottom)]]


def arrow_head(
    parent: Element, tail: Point, tip: Point, *, size: float = 7.0, fill: str = INK
) -> None:
    """Draw an arrow's head at `tip`, pointing away from `tail`."""
    dx, dy = tip[0] - tail[0], tip[1] - tail[1]
    length = math.hypot(dx, dy)
    if length == 0.0:
        return
    ux, uy = dx / length, dy / length
    back_x, back_y = tip[0] - size * ux, tip[1] - size * uy
    aside_x, aside_y = -0.42 * size * uy, 0.42 * size * ux
    corners = [(back_x + aside_x, back_y + aside_y), (back_x - aside_x, back_y - aside_y)]
    shape(parent, [[tip, *corners]], fill=fill)


def small_rack(parent: Element, middle: Point, standing: Iterable[int], *, step: float) -> None:
    """Draw a rack seen from the bowler: a dark disc for each standing pin, a dot for the rest.

    `step` is the distance between neighbouring columns; `middle` the head pin's place.
    """
    up = set(standing)
    for pin in range(1, PIN_COUNT + 1):
        at = middle[0] + step * COLUMN[pin], middle[1] - 1.5 * step * ROW[pin]
        if pin in up:
            circle(parent, at, 0.8 * step, fill=INK)
        else:
            circle(parent, at, 0.25 * step, fill=FAINT)


def number(value: float) -> str:
    """A coordinate to a tenth of a unit, without a trailing zero or a negative nought."""
    rounded = round(value, 1) + 0.0
    return f"{rounded:.1f}".removesuffix(".0")


def em_width(words: str) -> float:
    """About how wide words are, at most [em]."""
    return sum(EM_WIDTHS.get(letter, USUAL_EM_WIDTH) for letter in words)


def _plain(value: str | float) -> str:
    return value if isinstance(value, str) else repr(value)
