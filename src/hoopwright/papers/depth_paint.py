"""Triangles into pixels with a depth for each pixel, so that what is nearer hides what is farther."""

import numpy as np
from numba import njit
from numpy.typing import NDArray


@njit(cache=True)
def paint_triangles(
    dots: NDArray[np.float64],
    depths: NDArray[np.float64],
    past_cut: NDArray[np.float64],
    colours: NDArray[np.uint8],
    image: NDArray[np.uint8],
) -> None:
    """Paint flat-coloured triangles onto an image; what lies past the cut is left out pixel by pixel.

    Args:
        dots: Corners in pixels (right, down), shape (m, 3, 2).
        depths: Distance of each corner along the view, shape (m, 3).
        past_cut: How far each corner lies past the cutting plane, shape (m, 3); above 0 is left out.
        colours: Shape (m, 3).
        image: Shape (height, width, 3); painted in place.
    """
    height, width = image.shape[0], image.shape[1]
    nearest = np.full((height, width), np.inf)
    for t in range(dots.shape[0]):
        ax, ay = dots[t, 0, 0], dots[t, 0, 1]
        bx, by = dots[t, 1, 0], dots[t, 1, 1]
        cx, cy = dots[t, 2, 0], dots[t, 2, 1]
        twice_area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
        if abs(twice_area) < 1e-9:
            continue
        first_row = max(0, int(np.ceil(min(ay, by, cy) - 0.5)))
        last_row = min(height - 1, int(np.floor(max(ay, by, cy) - 0.5)))
        first_column = max(0, int(np.ceil(min(ax, bx, cx) - 0.5)))
        last_column = min(width - 1, int(np.floor(max(ax, bx, cx) - 0.5)))
        for row in range(first_row, last_row + 1):
            y = row + 0.5
            for column in range(first_column, last_column + 1):
                x = column + 0.5
                v = ((x - ax) * (cy - ay) - (cx - ax) * (y - ay)) / twice_area
                w = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / twice_area
                u = 1.0 - v - w
                if u < -1e-9 or v < -1e-9 or w < -1e-9:
                    continue
                if u * past_cut[t, 0] + v * past_cut[t, 1] + w * past_cut[t, 2] > 0.0:
                    continue
                depth = u * depths[t, 0] + v * depths[t, 1] + w * depths[t, 2]
                if depth < nearest[row, column]:
                    nearest[row, column] = depth
                    image[row, column] = colours[t]
