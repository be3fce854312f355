"""GLB, E57 and LAS: kinds that are read through libraries, which also write the files here."""

import builtins
import json
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.findings import UserError
from hoopwright.shell.readers import read_scan

BOX = np.array([[0, 0, 0], [1, 0, 0], [0, 2, 0], [0, 0, 3], [1, 2, 3]], dtype=np.float64)


def refused(path: Path) -> str:
    with pytest.raises(UserError) as caught:
        read_scan(path)
    return str(caught.value)


def write_e57(path: Path, *scans: dict[str, Any]) -> Path:
    pye57 = pytest.importorskip("pye57")
    with pye57.E57(str(path), mode="w") as file:
        for scan in scans:
            xyz: NDArray[np.float64] = scan["xyz"]
            data = {f"cartesian{axis}": xyz[:, at].copy() for at, axis in enumerate("XYZ")}
            if "invalid" in scan:
                data["cartesianInvalidState"] = np.asarray(scan["invalid"], dtype=np.int8)
            file.write_scan_raw(data, rotation=scan.get("rotation"), translation=scan.get("translation"))
    return path


def test_e57_scans_by_their_poses(tmp_path: Path) -> None:
    quarter = np.array([np.sqrt(0.5), 0, 0, np.sqrt(0.5)])  # 90 degrees about up, w first
    path = write_e57(
        tmp_path / "a.e57",
        {"xyz": BOX, "rotation": quarter, "translation": np.array([10.0, 20.0, 30.0])},
        {"xyz": BOX[:2], "invalid": [0, 1]},
    )
    scan = read_scan(path)
    turned = np.stack([10 - BOX[:, 1], 20 + BOX[:, 0], 30 + BOX[:, 2]], axis=1)
    np.testing.assert_allclose(scan.points, np.concatenate([turned, BOX[:1]]), atol=1e-6)
    assert (scan.declared_unit, scan.is_cloud) == ("m", True)
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-008", 2)]


def test_e57_agrees_with_pye57(tmp_path: Path) -> None:
    pye57 = pytest.importorskip("pye57")
    rng = np.random.default_rng(7)
    turn = rng.normal(size=4)
    path = write_e57(
        tmp_path / "a.e57",
        {"xyz": rng.normal(size=(2000, 3)), "rotation": turn / np.linalg.norm(turn), "translation": BOX[4]},
    )
    with pye57.E57(str(path)) as file:
        theirs = file.read_scan(0, ignore_missing_fields=True)
    scan = read_scan(path)
    for at, axis in enumerate("XYZ"):
        np.testing.assert_allclose(scan.points[:, at], theirs[f"cartesian{axis}"], atol=1e-6)


def test_e57_with_map_coordinates(tmp_path: Path) -> None:
    path = write_e57(tmp_path / "a.e57", {"xyz": BOX * 0.001, "translation": np.array([4e5, 5e6, 300.0])})
    scan = read_scan(path)
    np.testing.assert_allclose(scan.points + (scan.offset - [4e5, 5e6, 300.0]), BOX * 0.001, atol=1e-6)
    assert [one.code for one in scan.findings] == ["SCAN-010"]


def test_e57_without_a_scan(tmp_path: Path) -> None:
    assert refused(write_e57(tmp_path / "a.e57")).startswith("SCAN-004")


def test_e57_with_a_flipped_byte_or_cut_short(tmp_path: Path) -> None:
    path = write_e57(tmp_path / "a.e57", {"xyz": BOX})
    data = bytearray(path.read_bytes())
    path.write_bytes(data[:-1024])
    assert "the header says" in refused(path)
    data[100] ^= 1
    path.write_bytes(data)
    assert refused(path).startswith("SCAN-003")


def write_las(path: Path, xyz: NDArray[np.float64], **header: Any) -> Path:
    laspy = pytest.importorskip("laspy")
    las = laspy.create(point_format=6, file_version="1.4")
    las.header.scales = header.get("scales", [0.001] * 3)
    las.header.offsets = header.get("offsets", [0.0] * 3)
    if "linear_unit" in header:
        keys = struct.pack("<8H", 1, 1, 0, 1, 3076, 0, 1, header["linear_unit"])
        las.header.vlrs.append(laspy.VLR("LASF_Projection", 34735, "", keys))
    las.x, las.y, las.z = xyz.T
    las.write(path)
    return path


@pytest.mark.parametrize("suffix", ["las", "laz"])
@pytest.mark.parametrize(("code", "unit"), [(9001, "m"), (9002, "ft"), (9003, "ft"), (9999, None)])
def test_las_scale_offset_and_unit(tmp_path: Path, suffix: str, code: int, unit: str | None) -> None:
    place = np.array([636000.0, 849000.0, 430.0])
    path = write_las(tmp_path / f"a.{suffix}", BOX * 0.01 + place, offsets=place - 5, linear_unit=code)
    scan = read_scan(path)
    np.testing.assert_allclose(scan.points + (scan.offset - place), BOX * 0.01, atol=1e-6)
    assert scan.declared_unit == unit


def test_las_without_a_stated_unit(tmp_path: Path) -> None:
    scan = read_scan(write_las(tmp_path / "a.las", BOX))
    np.testing.assert_allclose(scan.points, BOX, atol=1e-6)
    assert (scan.declared_unit, scan.declared_by, scan.findings) == (None, "", ())


@pytest.mark.parametrize("suffix", ["las", "laz"])
@pytest.mark.parametrize(("count", "code"), [(10**12, "SCAN-009"), (0, "SCAN-004"), (7, "SCAN-003")])
def test_las_count_that_lies(tmp_path: Path, suffix: str, count: int, code: str) -> None:
    path = write_las(tmp_path / f"a.{suffix}", BOX)
    data = bytearray(path.read_bytes())
    data[247:255] = struct.pack("<Q", count)
    path.write_bytes(data)
    assert refused(path).startswith(code)


def write_glb(path: Path, scene: Any) -> Path:
    path.write_bytes(scene.export(file_type="glb"))
    return path


def test_glb_node_transforms(tmp_path: Path) -> None:
    trimesh = pytest.importorskip("trimesh")
    box = trimesh.creation.box(extents=[1, 2, 3])
    scene = trimesh.Scene()
    turn = trimesh.transformations.rotation_matrix(0.7, [1, 2, 3], [4, 5, 6])
    scene.add_geometry(box, node_name="a", geom_name="box", transform=turn)
    scene.add_geometry(box, node_name="b", geom_name="box", parent_node_name="a", transform=turn)
    scan = read_scan(write_glb(tmp_path / "a.glb", scene))
    expected = np.concatenate([box.triangles @ m[:3, :3].T + m[:3, 3] for m in (turn, turn @ turn)])
    found = scan.points[scan.triangles]
    assert len(found) == 24
    order = np.lexsort(np.round(found.mean(axis=1), 4).T), np.lexsort(np.round(expected.mean(axis=1), 4).T)
    np.testing.assert_allclose(found[order[0]], expected[order[1]], atol=1e-5)
    assert (scan.declared_unit, scan.declared_by) == ("m", "the glTF 2.0 standard")


def edited(path: Path, change: Any) -> Path:
    """The GLB file with its JSON changed by a function."""
    data = path.read_bytes()
    length = struct.unpack_from("<I", data, 12)[0]
    tree = json.loads(data[20 : 20 + length])
    change(tree)
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    rest = data[20 + length :]
    head = struct.pack("<4sIIII", b"glTF", 2, 20 + len(text) + len(rest), len(text), 0x4E4F534A)
    path.write_bytes(head + text + rest)
    return path


def _count_of(count: int) -> Any:
    return lambda tree: tree["accessors"][0].update(count=count)


def _bomb(tree: dict[str, Any]) -> None:
    del tree["accessors"][0]["bufferView"]
    tree["accessors"][0]["count"] = 10**9


def _circle(tree: dict[str, Any]) -> None:
    tree["nodes"] = [{"children": [1]}, {"children": [0], "mesh": 0}]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (_count_of(40), "SCAN-003"),
        (_count_of(10**10), "SCAN-009"),
        (_bomb, "SCAN-009"),
        (_circle, "SCAN-003"),
        (lambda tree: tree.update(extensionsRequired=["KHR_draco_mesh_compression"]), "SCAN-002"),
        (lambda tree: tree.update(meshes=[], nodes=[], scenes=[{"nodes": []}]), "SCAN-00"),
        (lambda tree: tree.update(nodes=200_000 * tree["nodes"][-1:]), "SCAN-009"),
    ],
)
def test_glb_that_lies(tmp_path: Path, change: Any, code: str) -> None:
    trimesh = pytest.importorskip("trimesh")
    path = write_glb(tmp_path / "a.glb", trimesh.creation.box().scene())
    assert refused(edited(path, change)).startswith(code)


@pytest.mark.parametrize(
    ("library", "name", "start"),
    [("pye57", "a.e57", b"ASTM-E57"), ("laspy", "a.las", b"LASF"), ("trimesh", "a.glb", b"glTF")],
)
def test_missing_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, library: str, name: str, start: bytes
) -> None:
    path = tmp_path / name
    if library == "pye57":
        write_e57(path, {"xyz": BOX})
    elif library == "laspy":
        write_las(path, BOX)
    else:
        write_glb(path, pytest.importorskip("trimesh").creation.box().scene())
    assert path.read_bytes().startswith(start)
    usual = builtins.__import__

    def without(module: str, *args: Any, **kwargs: Any) -> Any:
        if module.split(".")[0] == library:
            raise ModuleNotFoundError(module)
        return usual(module, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(UserError) as caught:
        read_scan(path)
    (finding,) = caught.value.findings
    assert finding.code == "SCAN-006"
    assert 'pip install "hoopwright[scan]"' in finding.todo
