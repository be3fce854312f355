"""Volume and centre of closed triangles against trimesh."""

import numpy as np
import pytest
import trimesh

from hoopwright.geometry import solid_volume_mm3


@pytest.mark.parametrize(
    "mesh",
    [
        trimesh.creation.box((30.0, 20.0, 3.0)),
        trimesh.creation.cylinder(radius=12.0, height=40.0),
        trimesh.creation.annulus(r_min=20.0, r_max=22.5, height=200.0),
    ],
)
def test_volume_and_centre_agree_with_trimesh(mesh):
    mesh.apply_transform(trimesh.transformations.random_rotation_matrix(rand=np.array([0.2, 0.5, 0.9])))
    mesh.apply_translation((1210.0, -640.0, 60.0))
    volume, centre = solid_volume_mm3(np.asarray(mesh.triangles))
    assert volume == pytest.approx(mesh.volume, rel=1e-9)
    np.testing.assert_allclose(centre, mesh.center_mass, atol=1e-6)


def test_wound_inward_is_negative():
    box = trimesh.creation.box((1.0, 2.0, 3.0))
    volume, centre = solid_volume_mm3(np.asarray(box.triangles)[:, ::-1])
    assert volume == pytest.approx(-6.0)
    np.testing.assert_allclose(centre, 0.0, atol=1e-12)


def test_a_flat_surface_encloses_nothing():
    with pytest.raises(ValueError, match="enclose nothing"):
        solid_volume_mm3(np.zeros((2, 3, 3)))
