"""The demo's second half: the driver, the landings, an invented rule book, the sticks, and the scrutineer's file."""

from collections import Counter
from types import MappingProxyType
from typing import Any

from hoopwright.cage import WeightBasis
from hoopwright.democar.club_book import CLUB_BOOK, CLUB_BOOK_ID
from hoopwright.democar.scenario import DemoScenario
from hoopwright.findings import Severity, Verdict
from hoopwright.jobs.cars import TypedCar, describe_car
from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
from hoopwright.jobs.drivers import set_driver
from hoopwright.jobs.landings import set_landing
from hoopwright.jobs.notes import add_note
from hoopwright.jobs.rule_books import books_folder, pin_book
from hoopwright.jobs.rule_checks import hold_to_book
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, write_whole

_DRIVER = MappingProxyType(
    {
        "helmet_mm": (-1800.0, 340.0, 905.0),
        "helmet_radius_mm": 140.0,
        "eye_mm": (-1700.0, 340.0, 905.0),
    }
)
_LEG_CM2 = 120.0
_FEET: tuple[tuple[str, Any, dict[str, Any]], ...] = (
    ("MH", "A", {"area_mm2": _LEG_CM2 * 100.0}),
    ("MH", "B", {"area_mm2": _LEG_CM2 * 100.0}),
    ("SB-L", "A", {"area_mm2": _LEG_CM2 * 100.0}),
    ("BS-L", "B", {"length_mm": 82.0, "width_mm": 84.0}),
)
"""Feet of the demo's cage and what the person types for them; the other side mirrors."""


def hand_over(
    folder: ProjectFolder, scenario: DemoScenario, told: list[str], *, date: str, progress: Progress = silent
) -> tuple[str, ...]:
    """Measure the driver, land the feet, hold the cage to the invented book, and make the scrutineer's file.

    Returns:
        Files worth a look, relative to the folder.
    """
    describe_car(
        folder,
        TypedCar(
            words=scenario.car_name,
            builder=scenario.shop,
            cage_number="third shed 26-1",
            weights_kg={WeightBasis.NO_FUEL_NO_DRIVER: 985.0},
            is_open=False,
            driver_side="L",
        ),
    )
    set_driver(folder, "A. Tester", **_DRIVER)
    _land(folder, told, progress)
    _hold(folder, told)
    add_note(folder, "Cage laid out, sheets issued, feet landed on the scan.", at=date)
    made = make_dossier(folder, DossierWishes(date=date), progress=progress)
    told.append(f"the scrutineer's file written: {made.in_words}")
    return (made.file.relative_to(folder.path).as_posix(),)


def _land(folder: ProjectFolder, told: list[str], progress: Progress) -> None:
    landed = [set_landing(folder, bar, end, typed, progress=progress) for bar, end, typed in _FEET]
    areas = [foot.fitted.area_mm2 / 100.0 for one in landed for foot in one.feet if foot.fitted is not None]
    to_dress = sum(any(found.severity is Severity.WARNING for found in one.findings) for one in landed)
    told.append(
        f"{len(areas)} landings fitted to the scan, {min(areas):.0f} to {max(areas):.0f} cm2; {to_dress} of them to be "
        f"dressed to the metal: hoopwright landing list {folder.path}"
    )


def _hold(folder: ProjectFolder, told: list[str]) -> None:
    books = books_folder(folder)
    make_folder(books)
    write_whole(books / f"{CLUB_BOOK_ID}.toml", CLUB_BOOK.encode())
    pin_book(folder, CLUB_BOOK_ID)
    report = hold_to_book(folder)
    rows = () if report is None else report.rows
    ended = Counter(row.verdict for row in rows)
    told.append(
        f"held to an invented club's book: {ended[Verdict.PASS]} pass, {ended[Verdict.FAIL]} fail, "
        f"{ended[Verdict.NOT_CHECKED]} not checked"
    )
