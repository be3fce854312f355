"""A line drawing of tubes and plates with a number on each: hidden lines thin and dashed, leaders that do not cross."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.drawing import FINEST_LINE_MM, Box, Items, Polygon, Polyline, Text, texts
from hoopwright.papers.leaders import RIM_MM, Label, label_items, most_labels, place_labels
from hoopwright.papers.lettering import text_box
from hoopwright.papers.outline import Run, Sheet, SolidTube, outline_runs, seen_of_sheets, seen_places
from hoopwright.papers.views import Fit, View, axis_arrows, fit_view

_SEEN_MM = 0.45
_SHEET_MM = 0.3
"""Plates are drawn thinner than tubes, so that the tubes and their numbers stand out."""
_LEAST_SPOTS = 3
_LEAST_SHEET_MM = 1.0
"""A sheet of which less can be seen across has its number in another view."""
_DASH_MM = (1.1, 0.8)
_SHORTEST_MM = 0.25
_LEAST_SHOWN_MM = 4.0
"""A tube of which less can be seen has its number in another view."""
_CAPTION_MM = 2.6


@dataclass(frozen=True, eq=False, kw_only=True)
class NumberedTube:
    """A tube and its number.

    Args:
        number: As the table of members has it.
        tube: The tube.
    """

    number: int
    tube: SolidTube


@dataclass(frozen=True, eq=False, kw_only=True)
class NumberedSheet:
    """A plate or a gusset and its number.

    Args:
        number: As its table has it, such as `L1`.
        sheet: The sheet.
    """

    number: str
    sheet: Sheet


@dataclass(frozen=True, eq=False, kw_only=True)
class NumberedView:
    """A picture and what it numbers.

    Args:
        items: The picture.
        labels: The numbers on it.
    """

    items: Items
    labels: tuple[Label, ...]


def numbered_view(
    tubes: Sequence[NumberedTube], seen: View, cell: Box, sheets: Sequence[NumberedSheet] = ()
) -> NumberedView:
    """The tubes and plates as lines in a cell, as large as they go, each that can be seen with its number.

    Args:
        tubes: At least one.
        seen: Where the viewer stands.
        cell: Where on the page; the caption stands at its foot.
        sheets: Plates and gussets.
    """
    solid, plates = [one.tube for one in tubes], [one.sheet for one in sheets]
    runs = outline_runs(solid, seen, plates)
    picture = Box(
        left_mm=cell.left_mm,
        top_mm=cell.top_mm,
        width_mm=cell.width_mm,
        height_mm=cell.height_mm - 2.0 * _CAPTION_MM,
    )
    fit = fit_view(seen, [run.points_mm for run in runs], picture.inset(RIM_MM))
    dashed = [_drawn(run.points_mm, fit, _DASHED) for run in runs if run.state == "hidden"]
    plain = [_drawn(run.points_mm, fit, _pen(run, tubes)) for run in runs if run.state == "seen"]
    places = [
        (str(one.number), spots)
        for one, shown in zip(tubes, seen_places(solid, seen, plates), strict=True)
        if len(spots := _spots(shown, fit))
    ]
    places += [
        (one.number, spots)
        for one, shown in zip(sheets, seen_of_sheets(solid, seen, plates), strict=True)
        if len(spots := _sheet_spots(shown, fit))
    ]
    rim = _hugging(runs, fit, picture)
    arrows = axis_arrows(seen, (cell.left_mm + 1.0, cell.bottom_mm))
    taken = _box_of(arrows)
    labels = place_labels(_longest(places, most_labels(rim, taken)), rim, taken)
    return NumberedView(
        items=(
            *(item for one in (*dashed, *plain) for item in one),
            *(item for label in labels for item in label_items(label)),
            *arrows,
            Text(
                at_mm=(cell.middle_mm[0], cell.bottom_mm - 0.8),
                text=seen.title,
                height_mm=_CAPTION_MM,
                anchor="middle",
                bold=True,
            ),
        ),
        labels=labels,
    )


def plain_view(
    tubes: Sequence[NumberedTube], seen: View, box: Box, sheets: Sequence[NumberedSheet] = ()
) -> Items:
    """The tubes and plates as lines that can be seen, without numbers, in a box."""
    every = outline_runs([one.tube for one in tubes], seen, [one.sheet for one in sheets])
    runs = [run for run in every if run.state == "seen"]
    fit = fit_view(seen, [run.points_mm for run in runs], box)
    return tuple(item for run in runs for item in _drawn(run.points_mm, fit, _pen(run, tubes)))


@dataclass(frozen=True, kw_only=True)
class _Pen:
    width_mm: float
    dash_mm: tuple[float, ...] = ()


_DASHED = _Pen(width_mm=FINEST_LINE_MM, dash_mm=_DASH_MM)


def _pen(run: Run, tubes: Sequence[NumberedTube]) -> _Pen:
    """The line in which what is seen is drawn: of a tube, or of a sheet, which are counted after the tubes."""
    return _Pen(width_mm=_SEEN_MM if run.tube < len(tubes) else _SHEET_MM)


def _box_of(arrows: Items) -> Box:
    """What the arrows and their words cover."""
    words = [text_box(text) for text in texts(arrows)]
    corners = [(box.left_mm, box.top_mm) for box in words] + [(box.right_mm, box.bottom_mm) for box in words]
    corners += [at for one in arrows if isinstance(one, Polyline | Polygon) for at in one.points_mm]
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    wide, tall = high - low
    return Box(left_mm=float(low[0]), top_mm=float(low[1]), width_mm=float(wide), height_mm=float(tall))


def _hugging(runs: Sequence[Run], fit: Fit, picture: Box) -> Box:
    """The rim that lies close round the lines."""
    flat = np.concatenate([np.array(fit.points(run.points_mm)) for run in runs])
    (left, top), (right, bottom) = flat.min(axis=0) - RIM_MM, flat.max(axis=0) + RIM_MM
    return Box(
        left_mm=max(picture.left_mm, float(left)),
        top_mm=max(picture.top_mm, float(top)),
        width_mm=min(picture.width_mm, float(right - left)),
        height_mm=min(picture.height_mm, float(bottom - top)),
    )


def _drawn(points_mm: Points, fit: Fit, pen: _Pen) -> Items:
    """A line on paper, without what no printer could show."""
    points = np.array(fit.points(points_mm))
    long = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    if long < _SHORTEST_MM:
        return ()
    kept = _straightened(points)
    return (
        Polyline(
            points_mm=tuple((float(x), float(y)) for x, y in kept),
            width_mm=pen.width_mm,
            dash_mm=pen.dash_mm,
            round_ends=not pen.dash_mm,
        ),
    )


def _straightened(points: Points) -> Points:
    """The line with fewer points, none of those left out farther than 0.02 mm from it (Douglas and Peucker 1973)."""
    if len(points) < 3:
        return points
    start, step = points[0], points[-1] - points[0]
    size = float(np.linalg.norm(step))
    off = points - start
    # from the stretch itself and not its line: a line that comes back on itself keeps its far end
    share = np.clip(off @ step / max(size**2, 1e-18), 0.0, 1.0)
    away = np.linalg.norm(off - share[:, None] * step, axis=1)
    far = int(np.argmax(away))
    if away[far] <= 0.02:
        return points[[0, -1]]
    return np.concatenate([_straightened(points[: far + 1])[:-1], _straightened(points[far:])])


def _longest(places: Sequence[tuple[str, Points]], most: int) -> list[tuple[str, Points]]:
    """No more than go round the picture: those of which most can be seen; the others have theirs in another view."""
    if len(places) <= most:
        return list(places)
    lengths = [float(np.ptp(spots, axis=0).sum()) for _, spots in places]
    kept = sorted(np.argsort(lengths)[::-1][:most].tolist())
    return [places[number] for number in kept]


def _sheet_spots(shown: Points, fit: Fit) -> Points:
    """Where on the page a leader to a sheet may end: well inside what can be seen of it; shape (n, 2)."""
    points = np.array(fit.points(shown)).reshape(-1, 2)
    if len(points) < _LEAST_SPOTS or float(np.ptp(points, axis=0).min()) < _LEAST_SHEET_MM:
        return np.empty((0, 2))
    away = np.linalg.norm(points - np.median(points, axis=0), axis=1)
    return points[np.argsort(away, kind="stable")[: max(1, len(points) // 3)]]


def _spots(shown: Sequence[Points], fit: Fit) -> Points:
    """Where on the page a leader may end: along the stretches that can be seen, away from their ends; shape (n, 2)."""
    found: list[Points] = []
    lengths = []
    for stretch in shown:
        points = np.array(fit.points(stretch))
        along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
        lengths.append(float(along[-1]))
        if along[-1] < _LEAST_SHOWN_MM:
            continue
        at = np.linspace(0.25, 0.75, 5) * along[-1]
        found.append(np.column_stack([np.interp(at, along, points[:, axis]) for axis in range(2)]))
    if not found or sum(lengths) < _LEAST_SHOWN_MM:
        return np.empty((0, 2))
    return np.concatenate(found)
