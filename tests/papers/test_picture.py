import io

import numpy as np
import pytest
from PIL import Image

from hoopwright.papers.picture import (
    BAR_COLOURS,
    GROUND_COLOUR,
    SHELL_COLOUR,
    PaintedMesh,
    Scene,
    picture_png,
)


def wall(forward, colour, left=(-100.0, 100.0), half=100.0):
    corners = np.array(
        [
            (forward, left[0], -half),
            (forward, left[1], -half),
            (forward, left[1], half),
            (forward, left[0], half),
        ]
    )
    return PaintedMesh(vertices_mm=corners, triangles=np.array([(0, 1, 2), (0, 2, 3)]), colour=colour)


def seen(scene, size=(200, 100)):
    return np.asarray(Image.open(io.BytesIO(picture_png(scene, width_px=size[0], height_px=size[1]))))


def hue(pixel):
    return np.argmax(pixel)


def test_what_is_nearer_hides_what_is_farther():
    red, blue = (220, 30, 30), (30, 30, 220)
    near, far = wall(100.0, red), wall(-100.0, blue)
    for shell, bar in ((near, far), (far, near)):
        middle = seen(Scene(shell=shell, bars=(bar,), looking=(-1.0, 0.0, 0.0)))[50, 100]
        assert hue(middle) == 0  # the viewer stands in front and looks back: the red wall


def test_the_cut_leaves_out_one_half_of_the_shell_and_no_bar():
    scene = Scene(
        shell=wall(0.0, SHELL_COLOUR), bars=(wall(-50.0, (220, 30, 30), half=10.0),), looking=(-1.0, 0.0, 0.0)
    )
    cut = Scene(shell=scene.shell, bars=scene.bars, looking=scene.looking, cut_away="left")
    whole, half = seen(scene, (100, 100)), seen(cut, (100, 100))
    # From the front the car's left is on the right of the picture.
    assert hue(half[50, 75]) == 0
    assert half[50, 75, 0] - int(half[50, 75, 1]) > 50
    assert (half[20, 75] == GROUND_COLOUR).all()
    assert (half[20, 25] == whole[20, 25]).all()
    assert (whole[20, 75] != GROUND_COLOUR).any()


def test_same_scene_same_bytes_and_empty_scene_is_ground():
    scene = Scene(shell=wall(0.0, SHELL_COLOUR), bars=())
    assert picture_png(scene) == picture_png(scene)
    assert (seen(Scene(shell=None, bars=())) == GROUND_COLOUR).all()
    with pytest.raises(ValueError, match="direction"):
        picture_png(Scene(shell=None, bars=(), looking=(0.0, 0.0, -1.0)))


def test_bar_colours_differ_in_lightness_or_blueness_enough_for_any_eye():
    # Blue-yellow and lightness are what red-green colour blindness leaves.
    colours = np.array(BAR_COLOURS, float)
    lightness = colours @ (0.2126, 0.7152, 0.0722)
    blueness = colours[:, 2] - colours[:, :2].mean(axis=1)
    for i in range(len(colours)):
        for j in range(i):
            assert abs(lightness[i] - lightness[j]) + abs(blueness[i] - blueness[j]) > 20.0
