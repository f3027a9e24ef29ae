"""A scene as SVG, for light and dark grounds, with words for screen readers."""

from collections.abc import Iterable
from html import escape

from servicing.chart.palette import GROUND, LOOKS, Look
from servicing.chart.scene import Area, Cross, Line, Point, Ring, Scene, Shape


def scene_to_svg(scene: Scene) -> str:
    """Return the drawing as an SVG document."""
    body = "".join(_element(shape) for shape in scene.shapes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {scene.width} {scene.height}" '
        f'role="img" aria-labelledby="chart-title chart-description">'
        f'<title id="chart-title">{escape(scene.title)}</title>'
        f'<desc id="chart-description">{escape(scene.description)}</desc>'
        f"<style>{_STYLE}</style>"
        f'<rect class="ground" width="{scene.width}" height="{scene.height}"/>{body}</svg>'
    )


def _name(style: str) -> str:
    return style.replace(" ", "-")


def _rule(style: str, look: Look, colour: str) -> str:
    if style.endswith("words") or style == "small":
        return f".{_name(style)}{{fill:{colour}}}"
    if look.filled:
        return f".{_name(style)}{{fill:{colour};fill-opacity:{look.opacity}}}"
    dashes = f";stroke-dasharray:{look.dashes[0]} {look.dashes[1]}" if look.dashes else ""
    return f".{_name(style)}{{fill:none;stroke:{colour};stroke-width:{look.width}{dashes}}}"


def _rules(ground: str, colours: Iterable[tuple[str, Look, str]]) -> str:
    return f".ground{{fill:{ground}}}text{{stroke:{ground}}}" + "".join(_rule(*entry) for entry in colours)


_STYLE = (
    # The ground around each letter keeps words legible where they cross lines and marks.
    "text{font-family:system-ui,sans-serif;paint-order:stroke;stroke-width:3;stroke-linejoin:round}"
    + _rules(GROUND.light, ((style, look, look.light) for style, look in LOOKS.items()))
    + "@media (prefers-color-scheme:dark){"
    + _rules(GROUND.dark, ((style, look, look.dark) for style, look in LOOKS.items()))
    + "}"
)


def _place(point: Point) -> str:
    return f"{point[0]:.1f},{point[1]:.1f}"


def _element(shape: Shape) -> str:
    name = _name(shape.style)
    if isinstance(shape, Line):
        return f'<polyline class="{name}" points="{" ".join(map(_place, shape.points))}"/>'
    if isinstance(shape, Area):
        return f'<polygon class="{name}" points="{" ".join(map(_place, shape.points))}"/>'
    if isinstance(shape, Ring):
        x, y = shape.centre
        return f'<circle class="{name}" cx="{x:.1f}" cy="{y:.1f}" r="{shape.radius:g}"/>'
    if isinstance(shape, Cross):
        (x, y), r = shape.centre, shape.radius
        ends = f"M{x - r:.1f} {y - r:.1f}l{2 * r:g} {2 * r:g}m0 {-2 * r:g}l{-2 * r:g} {2 * r:g}"
        return f'<path class="{name}" d="{ends}"/>'
    x, y = shape.at
    return (
        f'<text class="{name}" x="{x:.1f}" y="{y:.1f}" font-size="{shape.size:g}" text-anchor="{shape.anchor}">'
        f"{escape(shape.text)}</text>"
    )
