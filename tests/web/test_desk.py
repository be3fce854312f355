"""The desk: what is on disk now, one edit at a time, and nobody's work overwritten."""

import threading

import numpy as np
import pytest
from tests.bending_hoop import CALIBRATION

from hoopwright.findings import UserError
from hoopwright.jobs.cage_bars import move_bar_node, remove_bar_node
from hoopwright.jobs.projects import undo
from hoopwright.jobs.views import moved_bars
from hoopwright.store import ProjectFolder
from hoopwright.web.desk import Desk
from hoopwright.web.keys import SHELL_MAGIC, cage_keys, shell_bytes

PLACE = (-1600.0, 540.0, 210.0)


@pytest.fixture
def desk(small):
    return Desk(ProjectFolder(path=small))


def node(desk, bar_id="BS-L", number=2):
    return desk.seen().project.cage.member(bar_id).nodes_mm[number - 1]


def test_an_edit_is_seen_and_undone(desk):
    before, was = desk.seen(), node(desk)
    desk.edit(lambda folder: move_bar_node(folder, "BS-L", 2, PLACE), bar_id="BS-L", shown=before)
    after = desk.seen()
    assert after.version == before.version + 1
    assert node(desk) == PLACE
    assert not desk.changed_since(after.version)
    desk.edit(undo)
    assert node(desk) == was


def test_a_change_from_elsewhere_is_seen(desk):
    before = desk.seen()
    assert not desk.changed_since(before.version)
    move_bar_node(ProjectFolder(path=desk.folder.path), "BS-L", 2, PLACE)
    assert desk.changed_since(before.version)
    assert node(desk) == PLACE


def test_sample_bends_that_a_command_keeps_are_seen(desk, hoopwright, tmp_path):
    """They change sheets and checks, so that whatever was made before is told to be old."""
    before = desk.seen()
    (tmp_path / "cal.toml").write_text(CALIBRATION)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", desk.folder.path)
    assert desk.changed_since(before.version)
    after = desk.seen()
    assert after.version == before.version + 1
    assert after.opened.content == before.opened.content
    assert after.bars is before.bars  # the cage is the same: nothing is measured again
    assert not desk.changed_since(after.version)


def test_a_bar_that_another_window_changed_is_not_overwritten(desk):
    before = desk.seen()
    desk.edit(lambda folder: move_bar_node(folder, "BS-L", 2, PLACE), bar_id="BS-L", shown=before)
    with pytest.raises(UserError) as refused:
        desk.edit(lambda folder: remove_bar_node(folder, "BS-L", 2), bar_id="BS-L", shown=before)
    assert refused.value.findings[0].code == "WEB-001"
    assert node(desk) == PLACE
    # another bar, as it was shown, may be changed
    desk.edit(
        lambda folder: move_bar_node(folder, "HB", 2, (-900.0, -630.0, 455.0)), bar_id="HB", shown=before
    )


def test_many_windows_at_once_lose_nothing(desk):
    def move(number):
        desk.edit(lambda folder: move_bar_node(folder, "BS-L", 2, (-1600.0, 540.0 + number, 210.0)))

    windows = [threading.Thread(target=move, args=(number,)) for number in range(8)]
    step = desk.seen().opened.step
    for window in windows:
        window.start()
    for window in windows:
        window.join()
    assert desk.seen().opened.step == step + 8


def test_a_drag_shows_what_the_edit_would_give(desk):
    seen, shell = desk.seen(), desk.shell()
    drawn = {bar.bar_id: bar for bar in moved_bars(seen.project.cage, shell, "MH", 2, (-900.0, 635.0, 625.0))}
    desk.edit(lambda folder: move_bar_node(folder, "MH", 2, (-900.0, 635.0, 625.0)))
    for bar in desk.seen().bars:
        if bar.bar_id in drawn:
            assert np.allclose(bar.nodes_mm, drawn[bar.bar_id].nodes_mm)
            assert drawn[bar.bar_id].nearest.gap_mm == pytest.approx(bar.nearest.gap_mm, abs=1.0)
    assert "HB" in drawn  # it ends on the hoop and goes along


def test_what_goes_over_the_wire(desk):
    keys = cage_keys(desk.seen())
    hoop = next(bar for bar in keys["bars"] if bar["bar_id"] == "MH")
    assert len(hoop["path_mm"]) == 3 * len(hoop["gap_mm"]) == 3 * len(hoop["judged"])
    assert hoop["nearest"]["gap_mm"] > 0.0
    from hoopwright.jobs.views import drawn_shell

    mesh = drawn_shell(desk.folder, desk.seen().project, desk.shell(), light=True)
    content = shell_bytes(mesh)
    magic, points, triangles = np.frombuffer(content, dtype="<u4", count=3)
    assert magic == SHELL_MAGIC
    assert len(content) == 12 + 12 * points + 12 * triangles
    assert 100 < triangles < 60_000
