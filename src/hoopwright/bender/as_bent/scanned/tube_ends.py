"""Where a scanned bar ends: the edge of an even run of points that the scatter has blurred."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from hoopwright.geometry import Vector

WINDOW_MM = 40.0
_STRAY_SHARE = 0.01
_FEWEST = 20
_BIN_MM, _GAP_BINS = 10.0, 4
_MOST = 700
_FACE_SHARES = (0.0, 0.01, 0.02, 0.04, 0.08, 0.15, 0.3)
"""Share of the points that may lie on the face of the cut: the wall is seen end on."""


def edge_mm(along_mm: Vector, noise_mm: float) -> tuple[float, float]:
    """Where points end, going up, and how sure that is.

    Args:
        along_mm: Distances of points along the last straight, shape (n,).
        noise_mm: Their scatter.

    Returns:
        The edge and its standard deviation, mm.

    Source: maximum likelihood of points that lie evenly up to an edge, blurred by a normal error, some of them on
        the face of the cut, and one in a hundred a stray.
    """
    along_mm = _without_strays(along_mm)
    top = float(np.quantile(along_mm, 1.0 - min(0.002, 5.0 / len(along_mm))))
    inside = along_mm[(along_mm > top - WINDOW_MM) & (along_mm < top + 10.0)]
    if len(inside) < _FEWEST:
        return top, max(noise_mm, WINDOW_MM / max(len(inside), 1))
    inside = inside[:: max(1, len(inside) // _MOST)]
    blur, low = max(noise_mm, 0.05), top - WINDOW_MM
    grid = np.arange(top - 12.0, top + 10.0, min(0.05, blur / 4.0))
    span = WINDOW_MM + 10.0
    scores = (grid[:, None] - inside[None, :]) / blur
    even = log_ndtr(scores) - np.log(grid - low)[:, None]
    face = -0.5 * scores**2 - np.log(blur * np.sqrt(2.0 * np.pi))
    likely = np.stack([_likely(even, face, share, span) for share in _FACE_SHARES])
    weight = np.exp(likely - likely.max())
    weight = weight.sum(axis=0) / weight.sum()
    edge = float(weight @ grid)
    return edge, max(float(np.sqrt(weight @ (grid - edge) ** 2)), 0.05)


def _without_strays(along_mm: Vector) -> Vector:
    """Points without what lies thinly beyond a gap: that is something else. As dense as before, the bar goes on."""
    bins = np.floor((along_mm - float(np.median(along_mm))) / _BIN_MM).astype(int)
    outward = np.bincount(bins[bins >= 0])
    usual = float(np.median(outward[outward > 0]))
    run = np.convolve(outward < 0.05 * usual, np.ones(_GAP_BINS), mode="valid") == _GAP_BINS
    gap = int(np.argmax(run))
    beyond = outward[gap + _GAP_BINS :]
    if not run.any() or (len(beyond) and float(np.median(beyond[beyond > 0])) > 0.5 * usual):
        return along_mm
    kept: Vector = along_mm[bins < gap]
    return kept


def _likely(even: NDArray[np.float64], face: NDArray[np.float64], share: float, span_mm: float) -> Vector:
    """Log likelihood of each edge where a share of the points lies on the face of the cut."""
    walls = np.log1p(-_STRAY_SHARE - share) + even
    both = np.logaddexp(walls, np.log(share) + face) if share > 0.0 else walls
    likely: Vector = np.logaddexp(both, np.log(_STRAY_SHARE / span_mm)).sum(axis=1)
    return likely
