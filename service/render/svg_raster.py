"""The service's own SVG back to pixels, for reading symbols back. It knows what ``render.svg`` writes and no more."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree as ET

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from service.errors import ReadBackFailed

_SVG = "{http://www.w3.org/2000/svg}"
_TOKEN = re.compile(r"[A-Za-z]|-?(?:\d+\.?\d*|\.\d+)")
_TRANSFORM = re.compile(r"translate\((\S+) (\S+)\) scale\((\S+) (\S+)\)")

#: Straight pieces for one curve of a letter; letters only need to be ink where they are ink.
_CURVE_STEPS = 4

Point = tuple[float, float]


def rasterised(text: str) -> NDArray[np.uint8]:
    """The document in grey, one pixel a unit of its view box.

    Raises:
        ReadBackFailed: it is not what the service writes.
    """
    try:
        root = ET.fromstring(text)  # noqa: S314  these bytes come from render.svg, not from outside
        _, _, width, height = (int(value) for value in root.attrib["viewBox"].split())
        image = Image.new("L", (width, height), 255)
        glyphs = {path.attrib["id"]: path.attrib["d"] for path in root.iterfind(f"{_SVG}defs/{_SVG}path")}
        for element in root:
            _draw(image, element, glyphs)
    except (ET.ParseError, KeyError, ValueError) as error:
        raise ReadBackFailed(
            f"the picture cannot be drawn again: {error}",
            field="svg",
            value=text[:40],
            todo="Report this; the mark was not handed out",
        ) from error
    return np.asarray(image)


def _draw(image: Image.Image, element: ET.Element, glyphs: dict[str, str]) -> None:
    attributes = element.attrib
    match element.tag.removeprefix(_SVG):
        case "rect":
            left, top = float(attributes.get("x", 0)), float(attributes.get("y", 0))
            right, bottom = left + float(attributes["width"]), top + float(attributes["height"])
            _fill(image, [[(left, top), (right, top), (right, bottom), (left, bottom)]], _grey(attributes["fill"]))
        case "polygon":
            corners = [tuple(map(float, pair.split(","))) for pair in attributes["points"].split()]
            _fill(image, [[(x, y) for x, y in corners]], _grey(attributes["fill"]))
        case "path":
            contours = _contours(attributes["d"])
            _fill(image, contours, _grey(attributes["fill"]))
            if "stroke" in attributes:
                _stroke(image, contours, float(attributes["stroke-width"]), _grey(attributes["stroke"]))
        case "g":
            found = _TRANSFORM.fullmatch(attributes["transform"])
            if found is None:
                raise ValueError(f"transform {attributes['transform']}")
            dx, dy, sx, sy = map(float, found.groups())
            contours = []
            for child in element:
                offset = float(child.attrib.get("x", 0))
                data = child.attrib["d"] if "d" in child.attrib else glyphs[child.attrib["href"].removeprefix("#")]
                contours += [[(dx + sx * (x + offset), dy + sy * y) for x, y in part] for part in _contours(data)]
            _fill(image, contours, _grey(attributes["fill"]))


def _fill(image: Image.Image, contours: list[list[Point]], grey: int) -> None:
    """Fill contours even-odd; a pixel is ink where its centre is inside."""
    points = [point for contour in contours for point in contour]
    if not points:
        return
    left, top = math.floor(min(x for x, _ in points)), math.floor(min(y for _, y in points))
    right, bottom = math.ceil(max(x for x, _ in points)), math.ceil(max(y for _, y in points))
    mask = np.zeros((bottom - top, right - left), dtype=bool)
    for contour in contours:
        if _is_upright_rectangle(contour):
            xs, ys = sorted({x - left for x, _ in contour}), sorted({y - top for _, y in contour})
            mask[round(ys[0]) : round(ys[-1]), round(xs[0]) : round(xs[-1])] ^= True
        else:
            part = Image.new("1", (right - left, bottom - top))
            ImageDraw.Draw(part).polygon([(x - left - 0.5, y - top - 0.5) for x, y in contour], fill=1)
            mask ^= np.asarray(part)
    image.paste(grey, (left, top), Image.fromarray(mask))


def _stroke(image: Image.Image, contours: list[list[Point]], width: float, grey: int) -> None:
    draw = ImageDraw.Draw(image)
    for contour in contours:
        corners = [(x - 0.5, y - 0.5) for x, y in contour]
        draw.line([*corners, corners[0]], fill=grey, width=max(1, round(width)), joint="curve")


def _is_upright_rectangle(contour: list[Point]) -> bool:
    return len(contour) == 4 and len({x for x, _ in contour}) == 2 and len({y for _, y in contour}) == 2


def _contours(data: str) -> list[list[Point]]:
    """Closed contours of path data: M, L, H, V, Q and their relative h and v, Z."""
    tokens = _TOKEN.findall(data)
    contours: list[list[Point]] = []
    command, at = "", 0
    x = y = 0.0

    def take(count: int) -> list[float]:
        nonlocal at
        values = [float(token) for token in tokens[at : at + count]]
        at += count
        return values

    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        match command:
            case "M":
                x, y = take(2)
                contours.append([(x, y)])
                command = "L"
                continue
            case "L":
                x, y = take(2)
            case "H":
                (x,) = take(1)
            case "V":
                (y,) = take(1)
            case "h":
                x += take(1)[0]
            case "v":
                y += take(1)[0]
            case "Q":
                cx, cy, ex, ey = take(4)
                for step in range(1, _CURVE_STEPS):
                    t = step / _CURVE_STEPS
                    contours[-1].append(
                        (
                            (1 - t) ** 2 * x + 2 * t * (1 - t) * cx + t * t * ex,
                            (1 - t) ** 2 * y + 2 * t * (1 - t) * cy + t * t * ey,
                        )
                    )
                x, y = ex, ey
            case "Z" | "z":
                continue
            case _:
                raise ValueError(f"path command {command}")
        contours[-1].append((x, y))
    return contours


def _grey(colour: str) -> int:
    red, green, blue = (int(colour[start : start + 2], 16) for start in (1, 3, 5))
    return round(0.299 * red + 0.587 * green + 0.114 * blue)
