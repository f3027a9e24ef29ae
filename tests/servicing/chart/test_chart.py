"""The drawing of a part's history, as SVG and as PNG."""

import re
from datetime import datetime, timedelta
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import pytest
from PIL import Image

from servicing.chart.drawing import draw_history
from servicing.chart.frame import BOTTOM, TOP, frame_for
from servicing.chart.history import Limit, PartHistory, ReadingPoint, TrendLine, WorkMark
from servicing.chart.palette import GROUND, LOOKS
from servicing.chart.png import scene_to_png
from servicing.chart.scene import Area, Cross, Line, Ring, Words
from servicing.chart.svg import scene_to_svg
from tests.builders.fleet import NOW

SVG = "{http://www.w3.org/2000/svg}"


def day(number: float) -> datetime:
    return NOW + timedelta(days=number)


def a_history(**values: Any) -> PartHistory:
    """Return a history of 40 readings that falls by 0.01 in a day during its last 50 days."""
    readings = tuple(
        ReadingPoint(day(-200 + 5 * number), 4.4, 4.5 - max(0, 5 * number - 150) * 0.01) for number in range(40)
    )
    return PartHistory(
        **{
            "title": "XX-A<B left main strut",
            "measure": "extension at the sheet's temperature and load",
            "unit": "in",
            "decimals": 2,
            "now": NOW,
            "since": day(-365),
            "readings": readings,
            "work": (WorkMark(day(-100), "gas added"),),
            "limits": (Limit("high limit", 5.0), Limit("target", 4.5), Limit("low limit", 4.0)),
            "trend": TrendLine(day(-50), day(-5), 4.05, 4.0, 4.1, -0.01, -0.014, -0.007),
            "forecast_until": day(40),
            "summary": "Extension falls & reaches the low limit in March.",
            **values,
        }
    )


def svg_of(history: PartHistory) -> ElementTree.Element:
    return ElementTree.fromstring(scene_to_svg(draw_history(history)))  # noqa: S314  # written by ourselves


def words_of(history: PartHistory) -> list[str]:
    return [shape.text for shape in draw_history(history).shapes if isinstance(shape, Words)]


def test_the_svg_is_well_formed_and_says_in_words_what_it_shows() -> None:
    svg = svg_of(a_history())

    assert svg.get("role") == "img"
    assert svg.get("aria-labelledby") == "chart-title chart-description"
    assert svg.findtext(f"{SVG}title") == "XX-A<B left main strut"
    assert svg.findtext(f"{SVG}desc") == "Extension falls & reaches the low limit in March."


def test_every_reading_is_drawn_as_read_and_corrected() -> None:
    rings = [shape.style for shape in draw_history(a_history()).shapes if isinstance(shape, Ring)]

    # One more of each in the key.
    assert (rings.count("raw"), rings.count("corrected")) == (41, 41)


def test_a_reading_set_aside_is_a_cross_and_does_not_flatten_the_rest() -> None:
    wild = ReadingPoint(day(-20), 11.4, 11.4, set_aside=True)
    history = a_history(readings=(*a_history().readings, wild))

    scene = draw_history(history)
    frame = frame_for(history)
    crosses = [shape for shape in scene.shapes if isinstance(shape, Cross)]
    assert frame.high < 5.2
    assert [round(cross.centre[1]) for cross in crosses if cross.centre[1] <= TOP] == [TOP]
    assert "set aside" in words_of(history)


def test_limits_are_named_with_their_values() -> None:
    assert {"high limit 5.00", "target 4.50", "low limit 4.00"} <= set(words_of(a_history()))


def test_work_is_marked_with_letters_that_the_key_explains() -> None:
    history = a_history(work=(WorkMark(day(-100), "gas added"), WorkMark(day(-99), "fluid changed")))

    assert "GF" in words_of(history)
    assert "G gas added, F fluid changed" in words_of(history)


def test_the_key_names_only_what_is_shown() -> None:
    bare = words_of(a_history(work=(), trend=None, forecast_until=None))

    assert not {"set aside", "trend, 90 %", "forecast", "today"} & set(bare)


def test_the_forecast_continues_the_trend_and_its_band_widens() -> None:
    # Not so far that the window's edge cuts the band.
    scene = draw_history(a_history(trend=TrendLine(day(-50), day(-5), 4.5, 4.45, 4.55, 0.0, -0.006, 0.006)))
    trend = next(shape for shape in scene.shapes if isinstance(shape, Line) and shape.style == "trend")
    forecast = next(shape for shape in scene.shapes if isinstance(shape, Line) and shape.style == "forecast")
    band = next(shape for shape in scene.shapes if isinstance(shape, Area) and shape.style == "forecast band")
    outline = band.points
    half = len(outline) // 2

    assert forecast.points[0] == pytest.approx(trend.points[-1])
    widths = [
        below[1] - above[1] for above, below in zip(band.points[:half], reversed(band.points[half:]), strict=True)
    ]
    assert widths == sorted(widths)
    assert widths[-1] > 1.5 * widths[0]


@pytest.mark.parametrize("readings", [(), (ReadingPoint(NOW, None, 4.2),)])
def test_a_part_that_was_hardly_read_is_drawn_all_the_same(readings: tuple[ReadingPoint, ...]) -> None:
    history = a_history(readings=readings, work=(), trend=None, forecast_until=None, limits=())

    assert svg_of(history) is not None
    assert scene_to_png(draw_history(history))


def test_nothing_is_drawn_outside_the_picture() -> None:
    scene = draw_history(a_history(readings=(*a_history().readings, ReadingPoint(day(-3), 0.1, 0.2, set_aside=True))))

    for shape in scene.shapes:
        for x, y in getattr(shape, "points", ()):
            assert 0 <= x <= scene.width
            assert 0 <= y <= scene.height
        if isinstance(shape, Cross | Ring):
            assert TOP - 1 <= shape.centre[1] <= scene.height
    assert scene.height > BOTTOM


def test_text_is_large_enough_on_a_telephone() -> None:
    scene = draw_history(a_history())
    sizes = [shape.size for shape in scene.shapes if isinstance(shape, Words)]

    # Shown 360 wide, nothing is smaller than 10.5 px.
    assert min(sizes) * 360 / scene.width >= 10.5


def luminance(colour: str) -> float:
    """Return the relative luminance of WCAG 2.2."""
    channels = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("side", ["light", "dark"])
@pytest.mark.parametrize("style", [name for name in LOOKS if name not in {"grid", "band", "forecast band"}])
def test_contrast_is_that_of_wcag_2_2_level_aa(style: str, side: str) -> None:
    shades = sorted(luminance(getattr(look, side)) for look in (LOOKS[style], GROUND))

    # 1.4.3 asks 4.5 of text, 1.4.11 asks 3 of marks; all marks here meet the first.
    assert (shades[1] + 0.05) / (shades[0] + 0.05) >= 4.5


def test_the_svg_follows_the_reader_s_light_or_dark_ground_and_loads_nothing() -> None:
    text = scene_to_svg(draw_history(a_history()))

    assert "@media (prefers-color-scheme:dark)" in text
    assert re.findall(r"(?:href|src|url)\s*[=(]", text) == []
    assert "<script" not in text


def test_the_png_shows_the_same_drawing_at_twice_the_size() -> None:
    scene = draw_history(a_history())

    picture = Image.open(BytesIO(scene_to_png(scene))).convert("RGB")

    assert picture.size == (2 * scene.width, 2 * scene.height)
    place = next(shape for shape in scene.shapes if isinstance(shape, Ring) and shape.style == "corrected").centre
    red, green, blue = picture.getpixel((round(place[0] * 2), round(place[1] * 2)))  # type: ignore[misc]
    assert (red, green, blue) == pytest.approx((0x0B, 0x57, 0xA4), abs=12)


def test_the_same_history_gives_the_same_bytes() -> None:
    first, second = (scene_to_png(draw_history(a_history())) for _ in range(2))

    assert first == second
