"""The car, the book that it is held to, and what becomes of each rule of it."""

from nicegui import ui

from hoopwright.web.bench import Bench
from hoopwright.web.made import fill_part
from hoopwright.web.panels import books, by_hand, clauses, described_car, rule_rows


def build(bench: Bench) -> None:
    """Fill the tab."""
    fill_part(bench, lambda: bench.seen.project.book, lambda: _held_to(bench), gap="gap-1")
    pinned = bench.seen.project.book is not None
    with ui.expansion("The car", value=not pinned).classes("hw-fold"):
        described_car.build(bench)
    with ui.expansion("Books and editions", value=not pinned).classes("hw-fold"):
        books.build(bench)
    with ui.expansion("The cage held to the book", value=pinned).classes("hw-fold"):
        rule_rows.build(bench)
    with ui.expansion("What becomes of each clause").classes("hw-fold"):
        clauses.build(bench)
    with ui.expansion("Measured by hand").classes("hw-fold"):
        by_hand.build(bench)


def _held_to(bench: Bench) -> None:
    pin = bench.seen.project.book
    if pin is None:
        ui.label("This cage is not held to a rule book yet. Describe the car, then choose a book below.")
        return
    ui.label(f"Held to {pin.book_id}, edition {pin.edition}").classes("hw-head")
    ui.label(
        "A pass says that a measured value meets the limit as it was typed. The body's own text and its scrutineer "
        "decide."
    ).classes("hw-soft")
