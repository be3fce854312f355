"""How many bends a scanned bar has: those that are none left out, those that were overlooked put in."""

import itertools

import numpy as np

from hoopwright.bender.as_bent.scanned.patches import TubePatches
from hoopwright.bender.as_bent.scanned.refusals import no_bar
from hoopwright.bender.as_bent.scanned.tube_fit import TubeFit, fit_tube
from hoopwright.geometry import Points, angle_between_deg

COARSE_MM = 2.5
COARSE_RATIO, COARSE_SLACK_MM = 1.15, 0.08
"""Against the scatter about small patches: a bend that was overlooked leaves more."""
QUICK_CLOUD, QUICK_POINTS = 20_000, 5_000
SURE_BEND_DEG = 8.0
MOST_OVERLOOKED = 4
LONG_RATIO = 12.0
BEND_RATIOS = (1.2, 40.0)
"""Centreline radius over outside radius that can be a bend at all."""


def fit_bends(points_mm: Points, nodes_mm: Points, patches: TubePatches, rng: np.random.Generator) -> TubeFit:
    """Fit with few points first, leave out bends that are none, put in those that were overlooked, then fit with many.

    Args:
        points_mm: All points, shape (n, 3).
        nodes_mm: Where the nodes are about, shape (m, 3).
        patches: The patches that they come from.
        rng: Chooses points.

    Raises:
        UserError: `ASBENT-024` where no tube fits.
    """
    some = points_mm[rng.permutation(len(points_mm))[:QUICK_CLOUD]]
    best = _fewest(some, nodes_mm, patches.radius_mm, rng)
    for _ in range(MOST_OVERLOOKED):
        if best.noise_mm <= most_noise_mm(patches.noise_mm):
            break
        more = _one_more(some, best, rng)
        if more is None or more.noise_mm > 0.9 * best.noise_mm:
            break
        best = more
    try:
        return fit_tube(points_mm, _nodes(best), best.radius_mm, rng)
    except (ValueError, np.linalg.LinAlgError) as error:
        raise no_bar(str(error)) from None


def most_noise_mm(patch_noise_mm: float) -> float:
    """Scatter about a bar, for that about small patches, over which a bend may have been overlooked."""
    return min(COARSE_MM, COARSE_RATIO * patch_noise_mm + COARSE_SLACK_MM)


def _one_more(points: Points, fit: TubeFit, rng: np.random.Generator) -> TubeFit | None:
    """The best fit with one more bend, tried at three places of every long straight."""
    nodes, made = _nodes(fit), []
    for index, (start, end) in enumerate(itertools.pairwise(nodes)):
        if float(np.linalg.norm(end - start)) > LONG_RATIO * fit.radius_mm:
            for share in (0.25, 0.5, 0.75):
                place = start + share * (end - start) + _aside(end - start)
                made.append(_quick(points, np.insert(nodes, index + 1, place, axis=0), fit.radius_mm, rng))
    return min((one for one in made if one is not None), key=lambda one: one.noise_mm, default=None)


def _aside(way: Points) -> Points:
    """A small step square to a direction, so that a new node has a plane."""
    across = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
    step: Points = across / np.linalg.norm(across)
    return step


def _fewest(some: Points, nodes: Points, radius_mm: float, rng: np.random.Generator) -> TubeFit:
    """The fit with as few bends as lie on the points as well.

    Raises:
        UserError: `ASBENT-024`.
    """
    best = _quick(some, nodes, radius_mm, rng)
    while best is None:
        if len(nodes) == 2:
            raise no_bar("no straight tube fits its points")
        nodes = np.delete(nodes, int(np.argmin(_angles(nodes))) + 1, axis=0)
        best = _quick(some, nodes, radius_mm, rng)
    while (fewer := _one_less(some, best, rng)) is not None:
        best = fewer
    return best


def _one_less(points: Points, fit: TubeFit, rng: np.random.Generator) -> TubeFit | None:
    """A fit without one of the small bends that lies on the points as well; None where there is none."""
    nodes = _nodes(fit)
    angles = _angles(nodes)
    for index in np.argsort(angles):
        if angles[index] > SURE_BEND_DEG:
            break
        found = _quick(points, np.delete(nodes, index + 1, axis=0), fit.radius_mm, rng)
        if found is not None and _as_good(found, fit):
            return found
    return None


def _quick(points: Points, nodes: Points, radius_mm: float, rng: np.random.Generator) -> TubeFit | None:
    """A fit with few points; None where none could be bent."""
    try:
        found = fit_tube(points, nodes, radius_mm, rng, most_points=QUICK_POINTS)
    except (ValueError, np.linalg.LinAlgError):
        return None
    can_be = not found.model.bends or BEND_RATIOS[0] < found.clr_mm / found.radius_mm < BEND_RATIOS[1]
    return found if can_be else None


def _nodes(fit: TubeFit) -> Points:
    return fit.model.nodes(fit.values)


def _angles(nodes: Points) -> list[float]:
    return [angle_between_deg(a, b) for a, b in itertools.pairwise(np.diff(nodes, axis=0))]


def _as_good(fewer: TubeFit, more: TubeFit) -> bool:
    """Whether a bar of one bend less lies on the points as well, but for what chance does to few points."""
    count = float(more.on_skin.sum())
    chance = 2.0 / np.sqrt(max(min(count, QUICK_POINTS), 1.0))
    return bool(
        fewer.noise_mm <= (1.02 + chance) * more.noise_mm
        and fewer.on_skin.sum() >= (0.995 - 0.5 * chance) * count
    )
