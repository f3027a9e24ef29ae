"""The same scene as PNG, for mail programs, which do not show SVG."""

import math
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Final

from PIL import Image, ImageDraw, ImageFont
from PIL.ImageFont import FreeTypeFont

from servicing.chart.palette import GROUND, LOOKS, Look
from servicing.chart.scene import Area, Cross, Line, Point, Ring, Scene, Words

SCALE: Final = 2  # pixels per picture unit, for sharp screens
_FINE: Final = 2  # drawn finer still and brought down, which smooths the edges
_ANCHORS: Final = {"start": "ls", "middle": "ms", "end": "rs"}


def scene_to_png(scene: Scene) -> bytes:
    """Return the drawing as a PNG on a light ground."""
    per_unit = SCALE * _FINE
    picture = Image.new("RGB", (scene.width * per_unit, scene.height * per_unit), GROUND.light)
    for shape in scene.shapes:
        if not isinstance(shape, Words):
            _draw(picture, shape, LOOKS[shape.style], per_unit)
    picture = picture.resize((scene.width * SCALE, scene.height * SCALE), Image.Resampling.BOX)
    brush = ImageDraw.Draw(picture)
    for shape in scene.shapes:
        if isinstance(shape, Words):
            _write(brush, shape)
    stream = BytesIO()
    picture.quantize(64, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(stream, "PNG")
    return stream.getvalue()


@cache
def _font(size: float) -> FreeTypeFont:
    font = ImageFont.load_default(size * SCALE)
    if not isinstance(font, FreeTypeFont):
        raise RuntimeError("Pillow was built without FreeType: charts for mail need its scalable font")
    return font


def _write(brush: ImageDraw.ImageDraw, words: Words) -> None:
    place = (words.at[0] * SCALE, words.at[1] * SCALE)
    brush.text(
        place,
        words.text,
        LOOKS[words.style].light,
        _font(words.size),
        _ANCHORS[words.anchor],
        # The ground around each letter keeps words legible where they cross lines and marks.
        stroke_width=SCALE,
        stroke_fill=GROUND.light,
    )


def _draw(picture: Image.Image, shape: Line | Area | Ring | Cross, look: Look, per_unit: int) -> None:
    brush = ImageDraw.Draw(picture)
    if isinstance(shape, Area):
        _fill(picture, [_scaled(point, per_unit) for point in shape.points], look)
    elif isinstance(shape, Line):
        for part in _dashed(shape.points, look.dashes):
            brush.line([_scaled(point, per_unit) for point in part], look.light, _thickness(look, per_unit), "curve")
    else:
        x, y = _scaled(shape.centre, per_unit)
        r = shape.radius * per_unit
        if isinstance(shape, Cross):
            for line in ((x - r, y - r, x + r, y + r), (x - r, y + r, x + r, y - r)):
                brush.line(line, look.light, _thickness(look, per_unit))
        elif look.filled:
            brush.ellipse((x - r, y - r, x + r, y + r), look.light)
        else:
            brush.ellipse((x - r, y - r, x + r, y + r), None, look.light, _thickness(look, per_unit))


def _fill(picture: Image.Image, outline: list[Point], look: Look) -> None:
    left, top = (math.floor(min(point[axis] for point in outline)) for axis in (0, 1))
    right, bottom = (math.ceil(max(point[axis] for point in outline)) + 1 for axis in (0, 1))
    mask = Image.new("L", (right - left, bottom - top), 0)
    ImageDraw.Draw(mask).polygon([(x - left, y - top) for x, y in outline], round(255 * look.opacity))
    picture.paste(look.light, (left, top, right, bottom), mask)


def _scaled(point: Point, per_unit: int) -> Point:
    return point[0] * per_unit, point[1] * per_unit


def _thickness(look: Look, per_unit: int) -> int:
    return max(1, round(look.width * per_unit))


def _dashed(points: tuple[Point, ...], dashes: tuple[float, float] | None) -> list[tuple[Point, ...]]:
    """Cut a line into its dashes.

    >>> _dashed(((0.0, 0.0), (10.0, 0.0)), (4.0, 2.0))
    [((0.0, 0.0), (4.0, 0.0)), ((6.0, 0.0), (10.0, 0.0))]
    """
    if dashes is None:
        return [points]
    drawn, gap = dashes
    parts: list[tuple[Point, ...]] = []
    walked = 0.0
    for (x1, y1), (x2, y2) in pairwise(points):
        length = math.hypot(x2 - x1, y2 - y1)
        first = math.floor(walked / (drawn + gap))
        for count in range(first, math.ceil((walked + length) / (drawn + gap))):
            begin = max(count * (drawn + gap) - walked, 0.0)
            end = min(count * (drawn + gap) + drawn - walked, length)
            if end > begin:
                at = [(x1 + (x2 - x1) * d / length, y1 + (y2 - y1) * d / length) for d in (begin, end)]
                parts.append(tuple(at))
        walked += length
    return parts
