"""The chart of a calibration that learns."""

from pathlib import Path

import numpy as np

from hoopwright.bender import Samples
from hoopwright.bender.learning import Learnt, foretold_in_turn, springback_at
from hoopwright.jobs.learning import LearntReport, learn_from, logged_bends
from hoopwright.jobs.made_pdf import DrawnFiles, chart_of
from hoopwright.papers import Page, svg_text
from hoopwright.papers.springback_chart import ReadingMark, SpringbackBand, springback_chart
from hoopwright.store.shop_place import shop_place
from hoopwright.store.writing import write_whole

MOST_MARKS = 400
_CURVE_STEPS = 80


def draw_chart(report: LearntReport, file: Path) -> DrawnFiles:
    """Write the learnt line with its band and every bend's error as PNG.

    Raises:
        UserError: `STORE-002` when it cannot be written.
    """
    made = chart_of(chart_page(report.learnt, report.calibration.batch))
    write_whole(file, made.content)
    return DrawnFiles(files=(str(file),), findings=made.findings)


def springback_svg(samples: Samples) -> str | None:
    """The springback of sample bends, and of the shop's logged bends of the same die and tube, as SVG.

    Returns:
        The chart; None where no sample read an angle, so that there is nothing to draw.

    Raises:
        UserError: `LEARN-...` and `SHOP-...`.
    """
    if not samples.angles:
        return None
    bends = logged_bends(samples, None, None) if samples.die and _has_shop() else ()
    return svg_text(chart_page(learn_from(samples, bends), samples.batch))


def _has_shop() -> bool:
    place = shop_place()
    return place is not None and place.is_there


def chart_page(learnt: Learnt, batch: str) -> Page:
    """The learnt line with its band over the readings, and the error of each bend."""
    most = max([100.0, *learnt.readings.command_deg.tolist()])
    curve = [_band_at(learnt, command, batch) for command in np.linspace(1.0, 1.05 * most, _CURVE_STEPS)]
    return springback_chart(
        curve,
        _marks(learnt, batch),
        title=f"Springback of the next bend, {f'batch {batch}' if batch else f'die {learnt.samples.die}'}",
    )


def _band_at(learnt: Learnt, command_deg: float, batch: str) -> SpringbackBand:
    there = springback_at(learnt, command_deg, batch)
    low, high = (float(there.quantile(share)[0]) for share in (0.025, 0.975))
    return SpringbackBand(
        command_deg=float(command_deg), mean_deg=float(there.mean()[0]), low_deg=low, high_deg=high
    )


def _marks(learnt: Learnt, batch: str) -> list[ReadingMark]:
    """The latest readings, each with what was foretold for it."""
    readings, foretold = learnt.readings, foretold_in_turn(learnt)
    springback = readings.command_deg - readings.released_deg
    error, sd = springback - foretold.mean(), foretold.sd()
    first = max(0, len(springback) - MOST_MARKS)
    return [
        ReadingMark(
            number=index + 1,
            command_deg=float(readings.command_deg[index]),
            springback_deg=float(springback[index]),
            error_deg=float(error[index]),
            half_band_deg=1.96 * float(sd[index]),
            sample=index < readings.sampled,
            counted=bool(learnt.counted[index]),
            batch=readings.batches[readings.batch[index]],
            same_batch=readings.batches[readings.batch[index]] == batch,
        )
        for index in range(first, len(springback))
    ]
