"""Moving a bar as typed: ends that land on it go along and are named, one undo takes all back."""

import json

import numpy as np
import pytest

from hoopwright.cage import end_meetings
from hoopwright.store import ProjectFolder


@pytest.fixture
def hung(hoopwright, project, tmp_path):
    """The ready project with a straight diagonal between the hoop's top and its left leg."""
    nodes = tmp_path / "diagonal.csv"
    nodes.write_text("forward,left,up\n-900,-300,1085\n-900,625,310\n", encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", project, "HD", "--role", "hoop diagonal", "--nodes", nodes),
        *("--end-a", "MH", "--end-b", "MH"),
    )
    return project


def nodes_of(project, name):
    members = json.loads((project / "cage.json").read_text())["members"]
    return np.array(next(one["nodes_mm"] for one in members if one["member_id"] == name))


def loose(project):
    return [
        end.bar_id for end in end_meetings(ProjectFolder(path=project).open().project.cage) if not end.meets
    ]


@pytest.mark.parametrize(
    "words",
    [
        ("move", "1", "-900,580,0"),
        ("add-node", "1", "-900,615,200"),
        ("remove-node", "2"),
    ],
    ids=lambda words: words[0],
)
def test_ends_go_along_and_are_named(hoopwright, hung, words):
    verb, *rest = words
    before = (hung / "cage.json").read_bytes()
    told = hoopwright.keys("bar", verb, hung, "MH", *rest)
    assert [f["objects"] for f in told["findings"] if f["code"] == "CAGE-020"] == [["HD"]]
    assert loose(hung) == []
    hoopwright.keys("undo", hung)
    assert json.loads((hung / "cage.json").read_text())["members"] == json.loads(before)["members"]


@pytest.mark.parametrize("words", [("move", "1", "-900,580,0"), ("remove-node", "2")], ids=lambda w: w[0])
def test_alone_leaves_them_and_says_which_no_longer_meet(hoopwright, hung, words):
    verb, *rest = words
    before = nodes_of(hung, "HD")
    told = hoopwright.keys("bar", verb, hung, "MH", *rest, "--alone")
    assert nodes_of(hung, "HD") == pytest.approx(before)
    assert [f["objects"] for f in told["findings"] if f["code"] == "CHECK-007"] == [["HD", "MH"]]
