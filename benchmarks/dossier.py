"""The scrutineer's file of a cage of 20 bars, bare and with photos; of the demo with its scan where one is named.

python -m benchmarks.dossier [DEMO FOLDER]
"""

import sys
import tempfile
from functools import partial
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.papers import twenty_bars
from benchmarks.timing import best_of, line
from hoopwright.jobs.dossier.make import DossierMade, DossierWishes, make_dossier
from hoopwright.jobs.photos import add_photos
from hoopwright.store import Project, ProjectFolder

_PHOTOS = 40


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folder = ProjectFolder(path=Path(place) / "car")
        folder.create(Project(name="benchmark", cage=twenty_bars()))
        out = Path(place) / "dossier.pdf"
        made = _made(folder, out)
        print(f"{made.members} members, {made.joints} joints, {made.pages} pages")
        line("file of 20 bars", best_of(partial(_made, folder, out), runs=3), "s", "under 10 s")
        photos = _photos(Path(place) / "photos")
        line(
            "40 photos of 12 megapixels made small", best_of(partial(_add, folder, photos), runs=1), "s", "-"
        )
        line(
            "file of 20 bars with 40 photos", best_of(partial(_made, folder, out), runs=3), "s", "under 10 s"
        )
        print(f"its size: {out.stat().st_size / 1e6:.1f} MB")
        for demo in sys.argv[1:]:
            seconds = best_of(partial(_made, ProjectFolder(path=Path(demo)), out), runs=3)
            line(f"file of {Path(demo).name}, scan and checks included", seconds, "s", "under 10 s")


def _made(folder: ProjectFolder, out: Path) -> DossierMade:
    return make_dossier(folder, DossierWishes(date="2026-01-01", out=out))


def _add(folder: ProjectFolder, photos: Path) -> None:
    add_photos(folder, photos, date="2026-01-01")


def _photos(folder: Path) -> Path:
    """Photos of 12 megapixels with about as much in them as a real one."""
    folder.mkdir()
    rolled = np.random.default_rng(1)
    rough = Image.fromarray(rolled.integers(0, 255, (380, 500, 3), dtype=np.uint8))
    for number in range(_PHOTOS):
        rough.rotate(number).resize((4000, 3000)).save(folder / f"MH {number}.jpg", quality=90)
    return folder


if __name__ == "__main__":
    main()
