# ruff: noqa: D102, D103, RUF005 (a script for one page: the names say it all)
"""Draws the figures of `docs/conventions.md` as SVG, from the project's own geometry.

    python docs/figures/make_figures.py

Every line of a bar is the bar's real centreline, so a figure cannot disagree with the code.
"""

import html
import math
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.bars import Bar, BendTable, bend_table, centreline, nodes_from_table
from hoopwright.bender import Feed
from hoopwright.bender.room.steps import moving_tube
from hoopwright.bender.room.tube_parts import lay_tube
from hoopwright.geometry import Arc, FilletedPath, rotation_about, unit_vector
from hoopwright.tubes import TubeSize

HERE = Path(__file__).parent
# Forward, left and up on the picture for an eye behind, to the left and above: a right-handed view.
FROM_BEHIND_LEFT = ((-0.85, -0.25), (-0.5, 0.4), (0.0, -0.9))
TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
INK, BLUE, RED, GREEN, PALE, STEEL = "#222", "#1558a6", "#b3261e", "#2e7031", "#9aa0a6", "#c9d3dd"

Array = NDArray[np.float64]


class Picture:
    """Shapes in picture points, x to the right and y down, written as one SVG file."""

    def __init__(self, width: int, height: int) -> None:
        self.size = (width, height)
        self.parts: list[str] = []

    def line(self, points: ArrayLike, *, colour: str = INK, width: float = 1.5, dash: str = "") -> None:
        places = " ".join(f"{x:.1f},{y:.1f}" for x, y in np.asarray(points, dtype=float).reshape(-1, 2))
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<polyline points="{places}" fill="none" stroke="{colour}" stroke-width="{width}"'
            f' stroke-linejoin="round" stroke-linecap="butt"{dashes}/>'
        )

    def shape(self, points: ArrayLike, *, fill: str, stroke: str = INK, width: float = 1.0) -> None:
        places = " ".join(f"{x:.1f},{y:.1f}" for x, y in np.asarray(points, dtype=float).reshape(-1, 2))
        self.parts.append(
            f'<polygon points="{places}" fill="{fill}" stroke="{stroke}" stroke-width="{width}"/>'
        )

    def circle(
        self, at: ArrayLike, radius: float, *, fill: str = "none", stroke: str = INK, width: float = 1.5
    ) -> None:
        x, y = np.asarray(at, dtype=float)
        self.parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}"'
            f' stroke="{stroke}" stroke-width="{width}"/>'
        )

    def arrow(self, points: ArrayLike, *, colour: str = INK, width: float = 2.0, both: bool = False) -> None:
        path = np.asarray(points, dtype=float).reshape(-1, 2)
        self.line(path, colour=colour, width=width)
        for tip, before in ((path[-1], path[-2]), *(((path[0], path[1]),) if both else ())):
            along = (tip - before) / np.linalg.norm(tip - before)
            across = np.array([-along[1], along[0]])
            self.shape(
                [tip, tip - 10 * along + 4 * across, tip - 10 * along - 4 * across],
                fill=colour,
                stroke=colour,
            )

    def text(
        self,
        at: ArrayLike,
        words: str,
        *,
        colour: str = INK,
        size: int = 14,
        anchor: str = "middle",
        bold: bool = False,
    ) -> None:
        x, y = np.asarray(at, dtype=float)
        weight = ' font-weight="bold"' if bold else ""
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" font-size="{size}" text-anchor="{anchor}"'
            f"{weight}>"
            f"{html.escape(words)}</text>"
        )

    def measure(
        self, start: ArrayLike, end: ArrayLike, words: str, *, colour: str = BLUE, above: bool = True
    ) -> None:
        a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
        self.arrow([a, b], colour=colour, width=1.3, both=True)
        self.text((a + b) / 2 + [0, -7 if above else 18], words, colour=colour)

    def save(self, name: str, title: str) -> None:
        width, height = self.size
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
            f' width="{width}" height="{height}"'
            f' font-family="DejaVu Sans, Arial, sans-serif">\n<title>{html.escape(title)}</title>\n'
            f'<rect width="{width}" height="{height}" fill="white"/>\n'
        )
        (HERE / name).write_text(head + "\n".join(self.parts) + "\n</svg>\n", encoding="utf-8")


class Oblique:
    """Which way the three directions run on the picture."""

    def __init__(
        self, forward: ArrayLike, left: ArrayLike, up: ArrayLike, *, origin: ArrayLike, scale: float
    ) -> None:
        self.directions = np.array([forward, left, up], dtype=float) * scale
        self.origin = np.asarray(origin, dtype=float)

    def __call__(self, points_mm: ArrayLike) -> Array:
        flat: Array = np.asarray(points_mm, dtype=float) @ self.directions + self.origin
        return flat


def bar_of(table: BendTable) -> Bar:
    return Bar(name="figure", nodes_mm=nodes_from_table(table), clr_mm=table.clr_mm, tube=TUBE)


def outline(path: FilletedPath, spacing_mm: float = 5.0) -> Array:
    return path.at(path.even_distances(spacing_mm))


def circle_about(axis: ArrayLike, middle: ArrayLike, start: ArrayLike, angles_deg: ArrayLike) -> Array:
    """Points of a circle, turned from `start` about an axis by the right-hand rule."""
    return np.array(
        [np.asarray(middle) + rotation_about(axis, a) @ np.asarray(start) for a in np.asarray(angles_deg)]
    )


# Axes ------------------------------------------------------------------------------------------------------

SIDE_OUTLINE = [
    (2050, 220), (2080, 480), (1950, 640), (900, 800), (720, 840), (-20, 1240), (-900, 1260), (-1500, 1010),
    (-1950, 960), (-2010, 600), (-1980, 250), (2050, 220),
]  # fmt: skip
TOP_OUTLINE = [
    (2080, 0), (2040, 420), (1850, 720), (900, 790), (-1500, 790), (-1900, 720), (-2000, 500), (-2010, 0),
]  # fmt: skip


def axes() -> None:
    picture = Picture(860, 360)
    side, top = np.array([250.0, 250.0]), np.array([650.0, 180.0])
    scale = 0.085

    def seen_from_left(forward: float, up: float) -> Array:
        return side + scale * np.array([-forward, -up])

    def seen_from_above(forward: float, left: float) -> Array:
        return top + scale * np.array([-forward, left])

    picture.text((250, 40), "seen from the left", bold=True)
    picture.line([seen_from_left(f, u) for f, u in SIDE_OUTLINE], colour=PALE, width=2)
    for wheel in (1330, -1270):
        picture.circle(seen_from_left(wheel, 300), 300 * scale, stroke=PALE, fill="white", width=2)
    picture.line([seen_from_left(2200, 0), seen_from_left(-2200, 0)], colour=PALE, width=1, dash="6 4")
    picture.arrow([seen_from_left(0, 0), seen_from_left(1100, 0)], colour=RED, width=3)
    picture.arrow([seen_from_left(0, 0), seen_from_left(0, 1000)], colour=BLUE, width=3)
    picture.text(seen_from_left(900, 0) + [0, 24], "forward +", colour=RED, bold=True)
    picture.text(seen_from_left(0, 900) + [10, 0], "up +", colour=BLUE, bold=True, anchor="start")
    picture.circle(seen_from_left(0, 0), 5, fill=GREEN, stroke=GREEN)
    picture.text(seen_from_left(-80, 0) + [6, 24], "left + (to you)", colour=GREEN, anchor="start")

    picture.text((650, 40), "seen from above", bold=True)
    mirrored = [(f, -le) for f, le in reversed(TOP_OUTLINE)]
    picture.line([seen_from_above(f, le) for f, le in [*TOP_OUTLINE, *mirrored]], colour=PALE, width=2)
    picture.line([seen_from_above(2250, 0), seen_from_above(-2250, 0)], colour=PALE, width=1, dash="6 4")
    picture.text(seen_from_above(-1500, 0) + [0, -6], "centre plane", colour=PALE, size=12)
    picture.arrow([seen_from_above(0, 0), seen_from_above(1100, 0)], colour=RED, width=3)
    picture.arrow([seen_from_above(0, 0), seen_from_above(0, 700)], colour=GREEN, width=3)
    picture.text(seen_from_above(900, 0) + [0, -10], "forward +", colour=RED, bold=True)
    picture.text(seen_from_above(0, 600) + [10, 0], "left +", colour=GREEN, bold=True, anchor="start")
    picture.circle(seen_from_above(0, 0), 5, fill=BLUE, stroke=BLUE)
    picture.text(seen_from_above(0, 0) + [10, 20], "up + (to you)", colour=BLUE, anchor="start")
    picture.text((650, 330), "right-hand side of the car: left is negative", size=12)
    picture.save("axes.svg", "Vehicle axes: forward, left, up")


# Rotation --------------------------------------------------------------------------------------------------


def rotation() -> None:
    picture = Picture(860, 330)
    flat = bar_of(
        BendTable(straights_mm=(260, 420, 300), rotations_deg=(0, 0), angles_deg=(60, 60), clr_mm=120.0)
    )
    turned = bar_of(
        BendTable(straights_mm=(260, 420, 300), rotations_deg=(0, 60), angles_deg=(60, 60), clr_mm=120.0)
    )
    look = Oblique(*FROM_BEHIND_LEFT, origin=(425, 170), scale=0.44)
    picture.text((250, 30), "a bar with a rotation of +60° before bend 2", bold=True)
    picture.line(look(outline(centreline(flat))), colour=PALE, width=8, dash="7 4")
    picture.line(look(outline(centreline(turned))), colour=INK, width=9)
    picture.line(look(outline(centreline(turned))), colour=STEEL, width=6)
    first, second = turned.nodes[1], turned.nodes[2]
    travel = unit_vector(second - first)
    middle = (first + second) / 2
    picture.arrow(look([middle - 60 * travel, middle + 90 * travel]), colour=RED, width=2)
    picture.text(look(turned.nodes[0]) + [0, 28], "end A", bold=True)
    picture.text(look(turned.nodes[-1]) + [0, -14], "end B", bold=True)
    picture.text(look(first) + [-4, -16], "bend 1", size=13)
    picture.text(look(second) + [-16, 14], "bend 2", anchor="end", size=13)
    picture.text(look(middle) + [14, 26], "travel A to B", colour=RED, anchor="start", size=13)
    picture.text(look(flat.nodes[-1]) + [0, 22], "rotation 0: flat", colour=PALE, size=12)

    # the same two legs as the eye on the travel sees them: right and up across the travel
    centre = np.array([650.0, 215.0])
    up = np.array([0.0, 0.0, 1.0])
    right = np.cross(travel, up)

    def seen_along(points_mm: ArrayLike) -> Array:
        around = np.asarray(points_mm, dtype=float) - second
        return centre + 0.5 * np.stack([around @ right, -(around @ up)], axis=-1)

    picture.text((650, 30), "looking along the travel from A to B", bold=True)
    picture.circle(centre, 12, fill=STEEL)
    flat_leg, turned_leg = seen_along(flat.nodes[-1]), seen_along(turned.nodes[-1])
    picture.arrow([centre, flat_leg], colour=PALE, width=4)
    picture.arrow([centre, turned_leg], colour=INK, width=4)
    start = unit_vector(np.append(flat_leg - centre, 0.0))[:2] * 70
    sweep = [centre + _turned_on_paper(start, a) for a in np.linspace(4, 53, 20)]
    picture.arrow(sweep, colour=BLUE, width=3)
    picture.text(centre + [-120, -62], "+60°: clockwise", colour=BLUE, bold=True)
    picture.text(flat_leg + [0, 26], "leg after bend 2,", colour=PALE, size=12)
    picture.text(flat_leg + [0, 42], "rotation 0", colour=PALE, size=12)
    picture.text(turned_leg + [0, -14], "rotation +60°", size=12)
    picture.text((650, 305), "mirrored bar: -60°, anticlockwise.   Ends exchanged: still +60°.", size=12)
    picture.save(
        "rotation.svg", "Sign of a rotation: clockwise is positive, looking along the travel from A to B"
    )


def _turned_on_paper(arrow: Array, clockwise_deg: float) -> Array:
    """Clockwise for the eye: y runs down on the picture, so the usual matrix turns clockwise."""
    c, s = math.cos(math.radians(clockwise_deg)), math.sin(math.radians(clockwise_deg))
    return np.array([c * arrow[0] - s * arrow[1], s * arrow[0] + c * arrow[1]])


# Start offset ----------------------------------------------------------------------------------------------


def start_offset() -> None:
    picture = Picture(860, 620)
    _at_the_die(
        picture, top=150.0, leading="A", words="fed from A: end A goes through the die first and swings"
    )
    _at_the_die(
        picture, top=470.0, leading="B", words="fed from B: end B goes through the die first and swings"
    )
    picture.save("start-offset.svg", "Mark, die face and where the bend really starts")


def _at_the_die(picture: Picture, *, top: float, leading: str, words: str) -> None:
    """The straight tube in the machine before the bend: the leading end is on the left of the picture."""
    tube_top, tube_bottom, radius = top - 15, top + 15, 60.0
    tangent, face, used_end, tail, lead = 400.0, 350.0, 560.0, 800.0, 70.0
    picture.text((430, top - 110), words, bold=True)
    picture.circle((tangent, tube_bottom + radius), radius, fill="#eef1f4", stroke=PALE)
    picture.text((tangent, tube_bottom + radius + 40), "die", colour=PALE)
    picture.shape(
        [(face - 130, tube_top - 22), (face, tube_top - 22), (face, tube_top), (face - 130, tube_top)],
        fill="#dfe4e8",
        stroke=PALE,
    )
    picture.text((face - 65, tube_top - 6), "clamp", colour=PALE, size=12)
    picture.shape([(lead, tube_top), (tail, tube_top), (tail, tube_bottom), (lead, tube_bottom)], fill=STEEL)
    picture.shape(
        [(tangent, tube_top), (used_end, tube_top), (used_end, tube_bottom), (tangent, tube_bottom)],
        fill="#f3c9a5",
    )
    picture.text(((tangent + used_end) / 2, top + 5), "becomes the bend", size=12)
    other = "B" if leading == "A" else "A"
    picture.text((lead - 26, top + 5), f"end {leading}", bold=True)
    picture.text((tail + 28, top + 5), f"end {other}", bold=True)
    picture.line([(face, tube_top - 52), (face, tube_bottom + 30)], colour=RED, width=2.5)
    picture.text((face, tube_top - 57), "mark at the die face", colour=RED)
    picture.line([(tangent, tube_top - 30), (tangent, tube_bottom + 30)], colour=BLUE, width=1.5, dash="5 3")
    picture.measure((face, tube_bottom + 22), (tangent, tube_bottom + 22), "", above=False)
    picture.text((face - 8, tube_bottom + 27), "start offset", colour=BLUE, anchor="end")
    picture.measure((tangent, tube_top - 20), (used_end, tube_top - 20), "tube used", above=True)
    picture.line(
        [(used_end, tube_top - 30), (used_end, tube_bottom + 10)], colour=BLUE, width=1.5, dash="5 3"
    )
    if leading == "A":
        picture.measure((lead, tube_bottom + 62), (tangent, tube_bottom + 62), "", colour=GREEN)
        picture.text((lead + 10, tube_bottom + 80), "start, measured from A", colour=GREEN, anchor="start")
        picture.text((800, tube_bottom + 80), "mark from A = start - offset", bold=True, anchor="end")
    else:
        picture.measure((used_end, tube_bottom + 62), (tail, tube_bottom + 62), "", colour=GREEN)
        picture.text(((used_end + tail) / 2, tube_bottom + 56), "start, measured from A", colour=GREEN)
        picture.text(
            (800, tube_bottom + 100), "mark from A = start + tube used + offset", bold=True, anchor="end"
        )
    picture.arrow([(lead + 20, tube_top - 40), (lead + 20, tube_top - 5)], colour=INK, width=1.5)
    picture.text((lead + 28, tube_top - 28), "swings", size=12, anchor="start")


# Bend table columns ----------------------------------------------------------------------------------------


def machine() -> None:
    """From above, the tube half swung; and from the tail, level and tilted."""
    picture = Picture(900, 590)
    _machine_from_above(picture, np.array([420.0, 190.0]))
    for tilt_deg, at in ((0.0, (190.0, 470.0)), (40.0, (480.0, 470.0)), (90.0, (760.0, 470.0))):
        _machine_from_the_tail(picture, np.array(at), tilt_deg)
    picture.save("machine.svg", "The machine frame, from above and from the tail")


def _machine_from_above(picture: Picture, origin: Array) -> None:
    """Ahead to the right, left up the page; clockwise, so that the feed line is on the left of the die."""
    scale, clr_mm, od_mm, swung_deg = 0.42, 137.5, 45.0, 50.0
    on_page = np.array([[scale, 0.0], [0.0, -scale]])
    table = BendTable(
        straights_mm=(700.0, 520.0), rotations_deg=(0.0,), angles_deg=(swung_deg,), clr_mm=clr_mm
    )
    feed = Feed(bend=1, fed_from="A")
    for swing, dash in ((swung_deg, ""), (0.0, "5 3")):
        laid = lay_tube(table, feed, [], swings="clockwise", swing_deg=swung_deg)
        tube = moving_tube(laid, od_mm, swung_deg)
        every = np.arange(len(tube.starts_mm))
        _, ends = tube.placed(every, np.full(len(every), math.radians(swing)))
        arc_rad = np.radians(np.linspace(0.0, swing, 20))
        arc = clr_mm * np.stack([np.sin(arc_rad), np.cos(arc_rad)], axis=1)
        path = np.concatenate(
            [ends[: len(laid.lead.parts) - 1 : -1, :2], arc, ends[: len(laid.lead.parts), :2]]
        )
        width = od_mm * scale if not dash else 1.5
        picture.line(origin + path @ on_page.T, colour=STEEL if not dash else PALE, width=width, dash=dash)
    picture.circle(origin, clr_mm * scale, fill="#eef1f4", stroke=PALE)
    picture.text(origin + (0, 22), "die", colour=PALE)
    picture.circle(origin, 3.0, fill=RED, stroke=RED)
    picture.arrow([origin, origin + (150.0, 0.0)], colour=RED)
    picture.text(origin + (156.0, 5.0), "ahead", colour=RED, anchor="start")
    picture.arrow([origin, origin + (0.0, -140.0)], colour=RED)
    picture.text(origin + (0.0, -146.0), "left", colour=RED)
    picture.text(origin + (-290.0, -76.0), "tail: fed ahead", anchor="start")
    picture.text(origin + (318.0, -52.0), "leading end", anchor="start")
    picture.text(origin + (236.0, 130.0), "swung clockwise", anchor="start")
    picture.text((450.0, 24.0), "from above, clockwise: the feed line is on the left of the die", bold=True)


def _machine_from_the_tail(picture: Picture, middle: Array, tilt_deg: float) -> None:
    """Right to the right, up the page; the right side lifted by the tilt."""
    tilt_rad = math.radians(tilt_deg)
    right = np.array([math.cos(tilt_rad), -math.sin(tilt_rad)])
    picture.line([middle + (-120.0, 70.0), middle + (120.0, 70.0)], colour=INK, width=3.0)
    picture.line([middle - 46.0 * right, middle + 46.0 * right], colour=PALE, width=14.0)
    picture.circle(middle - 52.0 * right, 9.0, fill=STEEL)
    picture.circle(middle, 3.0, fill=RED, stroke=RED)
    picture.arrow([middle, middle + 110.0 * right], colour=BLUE)
    picture.arrow([middle + (-105.0, 0.0), middle + (-105.0, 68.0)], colour=GREEN, both=True)
    picture.text(middle + (-112.0, 40.0), "axis height", colour=GREEN, anchor="end", size=11)
    named = {0.0: "tilt 0: level", 90.0: "tilt 90: upright"}.get(tilt_deg, f"tilt {tilt_deg:g}")
    picture.text(middle + (0.0, 92.0), f"{named}, from the tail", size=12)


def bend_table_columns() -> None:
    picture = Picture(860, 370)
    table = BendTable(
        straights_mm=(300, 260, 240, 320), rotations_deg=(0, 90, -135), angles_deg=(90, 45, 60), clr_mm=120.0
    )
    bar = bar_of(table)
    path = centreline(bar)
    table = bend_table(bar)
    look = Oblique(*FROM_BEHIND_LEFT, origin=(490, 150), scale=0.57)
    picture.text((300, 28), "a bar with three bends", bold=True)
    picture.line(look(outline(path)), colour=INK, width=13)
    picture.line(look(outline(path)), colour=STEEL, width=10)
    starts = path.starts_mm
    bend = 0
    for piece, begin, end in zip(path.pieces, starts[:-1], starts[1:], strict=True):
        if isinstance(piece, Arc):
            bend += 1
            picture.line(look(path.at(np.linspace(begin, end, 40))), colour="#f3c9a5", width=10)
    for node in bar.nodes[1:-1]:
        picture.circle(look(node), 4, fill=RED, stroke=RED)
    for index, (piece, begin) in enumerate(zip(path.pieces, starts[:-1], strict=True)):
        if not isinstance(piece, Arc):
            middle = look(path.at([begin + piece.length_mm / 2])[0])
            picture.text(middle + _beside(index), f"straight {index // 2 + 1}", colour=BLUE, size=13)
    for number, (node, shift) in enumerate(
        zip(bar.nodes[1:-1], ((-40, -14), (20, 24), (-20, -16)), strict=True), 1
    ):
        picture.text(look(node) + shift, f"node of bend {number}", colour=RED, size=12, anchor="start")
    picture.text(look(bar.nodes[0]) + [-6, -22], "end A", bold=True)
    picture.text(look(bar.nodes[-1]) + [4, 26], "end B", bold=True)
    _table(picture, table, left=520, top=130)
    picture.save("bend-table.svg", "Columns of the bend table")


def _beside(piece: int) -> Array:
    return np.array([(-14, 34), None, (52, 22), None, (40, -24), None, (-54, 8)][piece], dtype=float)


def _table(picture: Picture, table: BendTable, *, left: float, top: float) -> None:
    columns = (("row", 25), ("straight", 90), ("rotation", 180), ("angle", 265))
    for name, at in columns:
        picture.text((left + at, top), name, bold=True)
    picture.line([(left, top + 8), (left + 310, top + 8)])
    for row, straight in enumerate(table.straights_mm):
        height = top + 32 + 26 * row
        picture.text((left + 25, height), str(row + 1), colour=PALE)
        picture.text((left + 90, height), f"{straight:.0f} mm", colour=BLUE)
        if row < len(table.angles_deg):
            picture.text((left + 180, height), f"{table.rotations_deg[row]:+.0f}°".replace("+0", "0"))
            picture.text((left + 265, height), f"{table.angles_deg[row]:.0f}°", colour="#a3551a")
    picture.text((left + 155, top + 150), "each row: a straight, then the turn, then", size=12)
    picture.text((left + 155, top + 168), "the bend at its end; the last row is the", size=12)
    picture.text((left + 155, top + 186), "last straight alone", size=12)


if __name__ == "__main__":
    axes()
    rotation()
    start_offset()
    machine()
    bend_table_columns()
