"""What was learnt from logged bends, as a person reads it."""

from typing import TYPE_CHECKING

from hoopwright.cli.output import table_text

if TYPE_CHECKING:
    from hoopwright.bender.learning import LearntCommand, ScoreRow
    from hoopwright.jobs.learning import BatchReport, LearntReport

_LONGEST_NAME = 24


def learnt_text(report: "LearntReport") -> str:
    """The learnt line, bands, batches, drift and the score on unseen bends."""
    made, learnt = report.calibration, report.learnt
    line = made.springback
    parts = [
        f"learnt from {len(made.samples.angles) if made.samples else 0} angle samples and {len(learnt.bends)} logged "
        "bends",
    ]
    if line is not None:
        parts.append(
            f"  springback {line.constant_deg:.2f}° + {line.per_command_deg:.4f} x command (batch "
            f"{made.batch or 'not named'}; scatter of one bend {line.scatter_sd_deg:.2f}°)"
        )
    parts.append(_shape(report))
    parts += ["", "what to read under load, and what 95 of 100 bends keep to:", _commands(report.commands)]
    parts += ["", "batches, latest last:", _batches(report.batches), *_samples_first(report.batches)]
    drift = report.drift
    parts += [
        "",
        f"drift over {drift.bend_count} logged bends: {drift.grown_deg:+.2f}° ± {1.96 * drift.grown_sd_deg:.2f}°",
        "",
        "score, on bends that were not seen:",
        _scores(report.scores),
        *_set_aside(report.scores),
        "",
        *(f"  believed at first: {words}" for words in learnt.prior.words),
    ]
    return "\n".join(parts)


def command_text(made: "LearntCommand") -> str:
    """One command with its band."""
    return (
        f"for {made.target_deg:g}° read {made.command_deg:.2f}° under load (± {made.sd_deg:.2f}°)\n"
        f"95 of 100 come out between {made.released_low_deg:.1f}° and {made.released_high_deg:.1f}°; read "
        f"{made.command_low_deg:.1f}° first and only 1 in 40 goes too far\n"
        f"batch {made.batch or 'not named'}{'' if made.batch_known else ': no bend of it was read yet'}"
    )


def _shape(report: "LearntReport") -> str:
    shape = report.shape
    bands = (
        f"radius {shape.clr.low_mm:.1f} to {shape.clr.high_mm:.1f} mm",
        f"start offset {shape.start_offset.low_mm:.1f} to {shape.start_offset.high_mm:.1f} mm",
        f"tube used for 90° {90.0 * shape.used_per_deg.low_mm:.1f} to {90.0 * shape.used_per_deg.high_mm:.1f} mm",
    )
    return f"  95 % bands of the samples' batch: {', '.join(bands)}"


def _commands(commands: "tuple[LearntCommand, ...]") -> str:
    heads = ("  wanted", "read", "comes out between", "half band")
    rows = [
        (
            f"  {one.target_deg:g}°",
            f"{one.command_deg:.2f}°",
            f"{one.released_low_deg:.1f}° and {one.released_high_deg:.1f}°",
            f"± {one.half_band_deg:.2f}°",
        )
        for one in commands
    ]
    return table_text(heads, rows)


def _batches(batches: "tuple[BatchReport, ...]") -> str:
    heads = ("  batch", "bends", "off the others at 90°", "by over 0.3°", "read for 90°", "half band")
    rows = []
    for one in batches:
        notice = one.notice
        rows.append(
            (
                f"  {_short(one.batch) or 'not named'}",
                str(one.bend_count),
                f"{notice.off_deg:+.2f}° ± {1.96 * notice.off_sd_deg:.2f}°" if notice else "–",
                _sure(one),
                f"{one.at_full.command_deg:.2f}°",
                f"± {one.at_full.half_band_deg:.2f}°",
            )
        )
    return table_text(heads, rows)


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"


def _sure(batch: "BatchReport") -> str:
    if batch.notice is None:
        return "–"
    share = batch.notice.sure_share
    return ("differs, " if batch.notice.different else "") + ("over 99%" if share > 0.99 else f"{share:.0%}")


def _samples_first(batches: "tuple[BatchReport, ...]") -> list[str]:
    wanted = [one.sample.sentence for one in batches if one.sample.worth_it]
    return [f"  {sentence}" for sentence in wanted[-3:]]


def _scores(scores: "tuple[ScoreRow, ...]") -> str:
    heads = ("  how", "bends", "in their band", "error (rms)", "half band", "rms with the samples alone")
    rows = []
    for one in scores:
        known = one.rms_deg is not None and one.half_band_deg is not None
        rows.append(
            (
                f"  {one.name}",
                str(one.bend_count),
                f"{one.held_count} ({one.held_share:.0%})" if one.held_share is not None else "–",
                f"{one.rms_deg:.2f}°" if known else "–",
                f"± {one.half_band_deg:.2f}°" if known else "–",
                "–" if one.fixed_rms_deg is None else f"{one.fixed_rms_deg:.2f}°",
            )
        )
    return table_text(heads, rows)


def _set_aside(scores: "tuple[ScoreRow, ...]") -> list[str]:
    return [
        f"  {one.name}: {one.set_aside_count} not learnt from; without them the error is {one.counted_rms_deg:.2f}°"
        for one in scores[:2]
        if one.set_aside_count and one.counted_rms_deg is not None
    ]
