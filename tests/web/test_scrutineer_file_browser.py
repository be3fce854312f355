"""The scrutineer's file on the page: a photo sent from the browser, a line in the log, the file made and opened."""

import json

import pytest
from PIL import Image
from pypdf import PdfReader
from tests.web.test_tabs_browser import opened

pytestmark = pytest.mark.slow


def kept(served):
    return json.loads((served.project / "cage.json").read_text(encoding="utf-8"))


def test_photo_note_and_file(served, page_of, screenshot, tmp_path):
    page = opened(page_of, served, "The file")
    page.get_by_text("Build log", exact=True).click()
    page.get_by_label("What was done").fill("door gaps written down")
    page.get_by_role("button", name="Write it in the log").click()
    page.get_by_role("cell", name="door gaps written down").wait_for()
    page.get_by_label("What the photo shows").click()
    page.get_by_role("option", name="cage from behind").click()
    page.get_by_label("Words below it").fill("tacked")
    Image.linear_gradient("L").resize((2400, 1800)).save(tmp_path / "a.jpg")
    file = page.get_by_label("Choose a photo file")
    file.set_input_files(tmp_path / "a.jpg")
    page.get_by_text("a.jpg: cage from behind").wait_for(timeout=60_000)
    (tmp_path / "b.jpg").write_bytes(b"a letter")
    file.set_input_files(tmp_path / "b.jpg")
    page.get_by_text("PHOTO-001").first.wait_for(timeout=60_000)
    page.get_by_role("button", name="Make the file").click()
    link = page.get_by_role("link", name="Look at it in a tab of its own")
    link.wait_for()
    screenshot(page, "scrutineer-file")
    (photo,) = kept(served)["photos"]
    assert (photo["place"], photo["words"]) == ("cage from behind", "tacked")
    assert [line["words"] for line in kept(served)["log_lines"]] == ["door gaps written down"]
    answer = page.request.get(served.url.rstrip("/") + link.get_attribute("href"))
    (tmp_path / "sent.pdf").write_bytes(answer.body())
    assert answer.body() == (served.project / "papers" / "dossier.pdf").read_bytes()
    words = " ".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "sent.pdf").pages)
    assert "door gaps written down" in words
    assert "tacked" in words
