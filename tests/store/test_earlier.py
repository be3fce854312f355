"""A project as it was: read, never changed."""

import pytest

from hoopwright.cage import Cage, Limits
from hoopwright.findings import UserError
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.earlier import EarlierProject


@pytest.fixture
def folder(tmp_path):
    """Three steps: gaps of 10, 11 and 12 mm."""
    folder = ProjectFolder(path=tmp_path / "car")
    folder.create(Project(name="car", cage=Cage(limits=Limits(gap_mm=10.0))))
    for gap in (11.0, 12.0):
        folder.save(folder.open(), Project(name="car", cage=Cage(limits=Limits(gap_mm=gap))))
    return folder


@pytest.mark.parametrize(("step", "gap_mm"), [(1, 10.0), (2, 11.0), (3, 12.0)])
def test_each_step_is_read_as_it_was(folder, step, gap_mm):
    opened = EarlierProject(path=folder.path, step=step).open()
    assert (opened.step, opened.project.cage.limits.gap_mm) == (step, gap_mm)


@pytest.mark.parametrize("step", [0, 4, 99])
def test_a_step_that_is_not_kept(folder, step):
    with pytest.raises(UserError) as stop:
        EarlierProject(path=folder.path, step=step).open()
    assert stop.value.findings[0].code == "STORE-012"
    assert "from 1 to 2" in stop.value.findings[0].todo


def test_what_was_is_never_changed(folder):
    before = {path: path.read_bytes() for path in sorted(folder.path.rglob("*.json"))}
    earlier = EarlierProject(path=folder.path, step=2)
    opened = earlier.open()
    for change in (earlier.save, earlier.record):
        with pytest.raises(TypeError):
            change(opened, opened.project)
    for go in (earlier.undo, earlier.redo):
        with pytest.raises(TypeError):
            go(opened)
    assert {path: path.read_bytes() for path in sorted(folder.path.rglob("*.json"))} == before


def test_where_there_is_no_project(tmp_path):
    with pytest.raises(UserError) as stop:
        EarlierProject(path=tmp_path, step=1).open()
    assert stop.value.findings[0].code == "STORE-005"
