"""A drawing as a list of shapes, before it becomes SVG or PNG; lengths in picture units, y downwards."""

from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points."""

    style: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Area:
    """A filled outline."""

    style: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle, open or filled as its style says."""

    style: str
    centre: Point
    radius: float


@dataclass(frozen=True, slots=True)
class Cross:
    """A diagonal cross."""

    style: str
    centre: Point
    radius: float


@dataclass(frozen=True, slots=True)
class Words:
    """Text; ``anchor`` is ``start``, ``middle`` or ``end``; the point is on its base line."""

    style: str
    at: Point
    text: str
    size: float
    anchor: str = "start"


Shape = Line | Area | Ring | Cross | Words


@dataclass(frozen=True, slots=True)
class Scene:
    """A whole drawing, with words for those who do not see it."""

    width: int
    height: int
    title: str
    description: str
    shapes: tuple[Shape, ...]
