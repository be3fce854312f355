"""One offer of a fit in words: its gaps, bends and length, why gaps remain, and its mirror's side."""

from html import escape

from nicegui import ui

from hoopwright.fitting.offers import Offer
from hoopwright.fitting.reasons import Reason
from hoopwright.jobs.fit_findings import closer_here
from hoopwright.jobs.fits import FitReport
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.findings_words import job_words
from hoopwright.web.parts import table
from hoopwright.web.picks import finding_list

MARK = "fit"


def offer_words(bench: Bench, report: FitReport, offer: Offer) -> None:
    """What a person should know of an offer."""
    gaps = (
        ("least gap", offer.smallest_gap_mm),
        ("mean gap", offer.mean_gap_mm),
        ("nine tenths of it within", offer.p90_gap_mm),
        ("greatest gap", offer.largest_gap_mm),
        ("length", offer.length_mm),
    )
    rows = [[name, bench.length(value)] for name, value in gaps]
    rows.append(["angles", " ".join(f"{shown(angle, 1)}°" for angle in offer.angles_deg) or "straight"])
    rows.append(["holds what was asked", "yes" if offer.holds else "no"])
    ui.label(f"{offer.bends} bends").classes("hw-head")
    table(["", ""], rows)
    finding_list(bench, offer.findings)
    reasons = report.reasons[report.found.offers.index(offer)]
    if reasons:
        ui.label("Why it stands off").classes("hw-head")
        for reason in reasons:
            _reason(bench, reason)
    if report.twin is not None:
        twin = report.twin
        ui.label(
            f"Its mirror {twin.twin_id} on the other side: least gap {bench.length(twin.gap_mm)}, "
            f"{bench.length(twin.along_mm)} from end A, {job_words(closer_here(twin), bench.units)}"
        )


def _reason(bench: Bench, reason: Reason) -> None:
    def look() -> None:
        marks = [{"points_mm": [list(reason.place_mm)], "text": bench.length(reason.gap_mm), "through": True}]
        bench.view.show_marks(MARK, marks)
        bench.view.look_at(reason.place_mm, 900.0)

    along = f"{bench.length(reason.along_mm)} from end A"
    words = f"{bench.length(reason.gap_mm)} to {reason.region}, {along}: {job_words(reason.sentence, bench.units)}"
    button = ui.element("button").classes("hw-item").on("click", look)
    with button:
        ui.html(escape(words), sanitize=False)
