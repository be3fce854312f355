"""Made files and those of others in one folder."""

import pytest

from hoopwright.findings import UserError
from hoopwright.store.made_files import (
    MADE_LIST,
    MadeFile,
    content_sha256,
    put_in_folder,
    read_made,
    refuse_foreign,
)


def made_of(contents, kind="step"):
    return {
        name: MadeFile(name=name, kind=kind, sha256=content_sha256(content), identity="i", date="2026-03-01")
        for name, content in contents.items()
    }


def test_what_was_made_is_known_again_and_may_be_made_anew(tmp_path):
    contents = {"step/MH.step": b"one", "tables/nodes.csv": b"two"}
    put_in_folder(tmp_path, contents, made_of(contents))
    made = read_made(tmp_path)
    assert made == made_of(contents)
    refuse_foreign(tmp_path, contents, made)
    put_in_folder(tmp_path, {"step/MH.step": b"three"}, made | made_of({"step/MH.step": b"three"}))
    assert (tmp_path / "step/MH.step").read_bytes() == b"three"
    assert (tmp_path / "tables/nodes.csv").read_bytes() == b"two"


@pytest.mark.parametrize("listed", [True, False])
def test_a_file_of_somebody_else_is_never_overwritten(tmp_path, listed):
    """Never listed, or changed by hand since it was made."""
    put_in_folder(tmp_path, {"MH.step": b"one"}, made_of({"MH.step": b"one"}) if listed else {})
    (tmp_path / "MH.step").write_bytes(b"my own notes")
    with pytest.raises(UserError) as stopped:
        refuse_foreign(tmp_path, {"MH.step": b"new", "SB-L.step": b"new"}, read_made(tmp_path))
    (finding,) = stopped.value.findings
    assert finding.code == "FILE-103"
    assert finding.objects == ("MH.step",)


def test_a_list_that_cannot_be_read_makes_every_file_somebody_elses(tmp_path):
    put_in_folder(tmp_path, {"MH.step": b"one"}, made_of({"MH.step": b"one"}))
    (tmp_path / MADE_LIST).write_text("{", encoding="utf-8")
    with pytest.raises(UserError):
        refuse_foreign(tmp_path, {"MH.step": b"new"}, read_made(tmp_path))


def test_after_a_power_cut_between_files_and_list_the_same_can_be_written_again(tmp_path):
    (tmp_path / "MH.step").write_bytes(b"one")
    refuse_foreign(tmp_path, {"MH.step": b"one"}, {})


def test_what_is_made_no_more_moves_to_old(tmp_path):
    put_in_folder(tmp_path, {"step/SB-L.step": b"one"}, made_of({"step/SB-L.step": b"one"}))
    put_in_folder(
        tmp_path, {"step/MH.step": b"two"}, made_of({"step/MH.step": b"two"}), gone=["step/SB-L.step"]
    )
    assert not (tmp_path / "step/SB-L.step").exists()
    assert (tmp_path / "old/step/SB-L.step").read_bytes() == b"one"


def test_when_one_cannot_be_written_none_is(tmp_path):
    (tmp_path / "b").mkdir()
    with pytest.raises(UserError) as stopped:
        put_in_folder(tmp_path, {"a": b"one", "b": b"two"}, made_of({"a": b"one", "b": b"two"}))
    assert stopped.value.findings[0].code == "STORE-002"
    assert not (tmp_path / "a").exists()
    assert read_made(tmp_path) == {}
