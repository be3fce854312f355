"""Photos in the scrutineer's file: kept small, in their slots, and refused without harm."""

import io

import pytest
from PIL import Image
from pypdf import PdfReader
from tests.jobs.dossier.making import DAY, codes, made, photo, words_of

from hoopwright.findings import UserError
from hoopwright.jobs.photos import add_photo, places_for_photos, take_photo_out
from hoopwright.store import ProjectFolder


def test_a_photo_is_kept_small_and_stands_in_its_slot(hoopwright, project, tmp_path):
    keys = hoopwright.keys(
        "dossier", "photo", project, "MH/SB-L-B", photo(tmp_path / "big.png", 4000, 3000), "--words", "tacked"
    )
    (kept,) = keys["added"]
    content = (project / "photos" / kept["file"]).read_bytes()
    assert Image.open(io.BytesIO(content)).size == (1600, 1200)
    again = hoopwright.keys("dossier", "photo", project, "SB-L-B to MH", tmp_path / "big.png")
    assert (again["added"], again["known"]) == ([], ["big.png"])
    done, file = made(hoopwright, project)
    assert done["photos"] == 1
    assert [image.data for page in PdfReader(file).pages for image in page.images] == [content]
    assert "tacked" in words_of(file)


def test_a_photo_that_was_a_mistake_is_taken_out_and_may_come_back(hoopwright, project, tmp_path):
    for name, place in (("a.jpg", "MH"), ("b.jpg", "MH/SB-L-B")):
        hoopwright.keys("dossier", "photo", project, place, photo(tmp_path / name, 300 + len(place), 200))
    folder = ProjectFolder(path=project)
    wrong, right = folder.open().project.photos
    assert take_photo_out(folder, wrong.file) == (right,)
    assert made(hoopwright, project)[0]["photos"] == 1
    again = hoopwright.keys("dossier", "photo", project, "MH", tmp_path / "a.jpg")
    assert (len(again["added"]), again["known"]) == (1, [])
    assert folder.open().project.photos == (right, wrong)


def test_a_folder_of_photos_is_sorted_by_file_names(hoopwright, project, tmp_path):
    there = tmp_path / "in"
    there.mkdir()
    for n, name in enumerate(
        (
            "MH_SB-L-B after welding.jpg",
            "sb-l foot a.JPG",
            "cage from the left.png",
            "SB-R 2.jpeg",
            "holiday.jpg",
        )
    ):
        photo(there / name, 300 + n, 200, format="JPEG" if n != 2 else "PNG")
    (there / "MH.jpg").write_bytes(b"a letter")
    (there / "SB-L.jpg").write_bytes(b"")
    (there / "SB-R.jpg").write_bytes((there / "SB-R 2.jpeg").read_bytes()[:500])
    (there / "notes.txt").write_text("x", encoding="utf-8")
    keys, file = made(hoopwright, project, "--photos", there)
    assert {(one["place"], one["words"]) for one in keys["added"]} == {
        ("MH/SB-L-B", "after welding"),
        ("SB-L foot A", ""),
        ("cage from the left", ""),
        ("SB-R", "2"),
    }
    assert sorted(code for code in codes(keys) if code[:5] in ("PHOTO", "DOSS-") and code > "DOSS-002") == [
        "DOSS-008", "PHOTO-001", "PHOTO-002", "PHOTO-004",
    ]  # fmt: skip
    assert keys["photos"] == 4
    assert file.is_file()


def test_a_bad_photo_changes_nothing(hoopwright, project, tmp_path, state):
    before = state(project)
    (tmp_path / "a.jpg").write_bytes(b"a letter")
    assert hoopwright.stops("dossier", "photo", project, "MH", tmp_path / "a.jpg") == ["PHOTO-001"]
    assert hoopwright.stops("dossier", "photo", project, "MH", tmp_path / "gone.jpg") == ["PHOTO-005"]
    good = photo(tmp_path / "b.jpg")
    assert hoopwright.stops("dossier", "photo", project, "XX", good) == ["DOSS-006"]
    assert hoopwright.stops("dossier", "photo", project, "MH and more", good) == ["DOSS-006"]
    assert hoopwright.stops("dossier", project, "--photos", tmp_path / "nowhere") == ["DOSS-007"]
    assert state(project) == before


@pytest.mark.parametrize("how", ["gone", "another"])
def test_a_photo_that_is_not_there_any_more_leaves_its_slot_empty(hoopwright, project, tmp_path, how):
    keys = hoopwright.keys("dossier", "photo", project, "MH", photo(tmp_path / "a.jpg"))
    kept = project / "photos" / keys["added"][0]["file"]
    kept.unlink() if how == "gone" else photo(kept, 30, 20)
    done, _ = made(hoopwright, project)
    assert "DOSS-004" in codes(done)
    assert done["photos"] == 0


def test_a_photo_of_every_place_is_added(project, tmp_path):
    folder = ProjectFolder(path=project)
    places = places_for_photos(folder)
    assert {"cage from the left", "number stamped", "MH/SB-L-B", "MH foot A", "SB-R"} <= set(places)
    assert len(set(places)) == len(places)
    file, letter = photo(tmp_path / "a.jpg"), tmp_path / "b.jpg"
    letter.write_bytes(b"a letter")
    for number, place in enumerate(places):
        added = add_photo(folder, place, file, date=DAY)
        assert [one.place for one in added.added] == [place]
        assert len(folder.open().project.photos) == number + 1
    assert len({one.file for one in folder.open().project.photos}) == len(places)
    with pytest.raises(UserError) as stopped:
        add_photo(folder, "MH", letter, date=DAY)
    assert "b.jpg" in stopped.value.findings[0].sentence


def test_an_empty_slot_says_which_bars_meet_there(hoopwright, project):
    _, file = made(hoopwright, project)
    assert "1 main hoop, 2 side bar" in words_of(file)
