"""The scrutineer's file made and read back, and what it is made from put on record."""

from dataclasses import replace

from PIL import Image
from pypdf import PdfReader

from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import TubeUsed

DAY = "2026-03-24"


def photo(path, wide=800, high=600, **how):
    Image.linear_gradient("L").resize((wide, high)).save(path, **how)
    return path


def recorded(project, **fields):
    folder = ProjectFolder(path=project)
    opened = folder.open()
    folder.record(opened, replace(opened.project, **fields))


def used(bar, **fields):
    kept = {"batch": "", "stick": "", "steel": "", "heat_number": "", "certificate": ""} | fields
    return TubeUsed(bar_id=bar, date="2026-03-18", **kept)


def pages_of(file):
    return [" ".join(page.extract_text().split()) for page in PdfReader(file).pages]


def words_of(file):
    return " ".join(pages_of(file))


def made(hoopwright, project, *more):
    keys = hoopwright.keys("dossier", project, "--date", DAY, *more)
    return keys, project / "papers" / "dossier.pdf"


def codes(keys):
    return [finding["code"] for finding in keys["findings"]]
