"""`hoopwright calibrate`: radius, tube used, start offset and springback from sample bends."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.cli.paper_options import day_of, paper_of, unit_of
from hoopwright.cli.shop_options import LogOption, ShopOption, log_file

if TYPE_CHECKING:
    from hoopwright.bender import Calibration, SampleSuggestion


def calibrate(
    file: Annotated[Path | None, typer.Argument(help="Sample bends (TOML); see --example.")] = None,
    project: Annotated[Path | None, typer.Option(help="Keep the calibration in this project too.")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Keep the samples in the shop.")] = False,
    die: Annotated[
        str, typer.Option(help="With --keep: the die, where the file names none. With --sheet: the die.")
    ] = "",
    batch: Annotated[
        str,
        typer.Option(
            help="Tube batch: with --log the one that is bent now, with --keep where the file names none, "
            "with --sheet the one to bend."
        ),
    ] = "",
    corrects: Annotated[
        str, typer.Option(help="With --keep: key of the kept calibration whose place this takes.")
    ] = "",
    shop: ShopOption = None,
    log: LogOption = None,
    chart: Annotated[Path | None, typer.Option(help="With --log: draw line, band and errors (PNG).")] = None,
    write: Annotated[
        Path | None,
        typer.Option(help="With --log: write what was learnt as a sample file, for --project or --keep."),
    ] = None,
    sheet: Annotated[
        Path | None,
        typer.Option(
            help="Write a sheet to take to the bender (PDF): which samples to bend, with boxes for what came out; "
            "with a file of samples the one next sample that tells most."
        ),
    ] = None,
    tube: Annotated[str | None, typer.Option(help="With --sheet: the tube, such as '45 x 2.5'.")] = None,
    clr: Annotated[
        str | None, typer.Option(help="With --sheet: centreline radius written on the die.")
    ] = None,
    paper: Annotated[str, typer.Option(help="With --sheet: A4 or letter.")] = "A4",
    unit: Annotated[str, typer.Option(help="With --sheet: mm or in, for what is cut.")] = "mm",
    date: Annotated[
        str | None, typer.Option(help="With --sheet: day of printing, ISO 8601; today without.")
    ] = None,
    example: Annotated[bool, typer.Option("--example", help="Print a sample-bend file to fill in.")] = False,
    as_json: AsJson = False,
) -> None:
    """What the samples say of this die, tube and batch, each number with its uncertainty."""
    if example:
        print(_EXAMPLE)
        return
    if sheet is not None:
        if keep or project is not None or chart is not None:
            raise typer.BadParameter("ask for the sheet alone", param_hint="--sheet")
        _sheet(
            sheet,
            as_json,
            shop=shop,
            samples=file,
            log=log,
            die=die,
            batch=batch,
            tube=tube,
            clr=clr,
            paper=paper,
            unit=unit,
            date=date,
        )
        return
    if tube is not None or clr is not None:
        raise typer.BadParameter("they go with --sheet", param_hint="--tube or --clr")
    if file is None:
        raise typer.BadParameter("name a file of sample bends, or ask for --example", param_hint="FILE")
    if log is not None:
        if project is not None or keep:
            raise typer.BadParameter(
                "learn with --log and --write, then keep the file that was written",
                param_hint="--project or --keep",
            )
        _learn(file, log, batch or None, chart, write, shop, as_json)
        return
    if chart is not None or write is not None or (batch and not keep):
        raise typer.BadParameter(
            "--chart and --write go with --log, and --batch with --log or --keep", param_hint="--log"
        )
    from hoopwright.jobs import calibrations
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        fitted = calibrations.calibrate(file)
        text, keys = _text(fitted.calibration, fitted.suggestion), dict(fitted.keys)
        if keep:
            keys["kept"], told = _keep(shop, file, die=die, batch=batch, corrects=corrects)
            text += told
        if project is not None:
            calibrations.keep_calibration(ProjectFolder(path=project), file)
            named = fitted.calibration.die or "(no die named: sheets will not find it)"
            text += f"\nkept in {project}, in force for die {named} and tube {fitted.calibration.tube}"
        show(as_json, lambda: keys, text, fitted.calibration.findings)


def _sheet(
    sheet: Path,
    as_json: bool,
    *,
    tube: str | None,
    clr: str | None,
    paper: str,
    unit: str,
    date: str | None,
    **names: Any,
) -> None:
    from dataclasses import asdict

    from hoopwright.cli import typed
    from hoopwright.jobs.sample_sheets import SampleWishes, draw_sample_sheet
    from hoopwright.units import parse_length_mm

    with stopping_on_findings(as_json):
        wishes = SampleWishes(
            date=day_of(date),
            tube=typed.maybe(typed.tube_size, tube),
            clr_mm=typed.maybe(parse_length_mm, clr),
            paper=paper_of(paper),
            unit=unit_of(unit),
            **names,
        )
        drawn = draw_sample_sheet(wishes, sheet)
        plan = drawn.plan
        told = [plan.why] if plan.why else []
        told.append(f"{len(plan.samples)} to bend, {plan.tube_mm:g} mm of tube; written: {sheet}")
        keys = {**asdict(plan), "tube_mm": plan.tube_mm, "file": str(sheet)}
        show(as_json, lambda: keys, "\n".join(told), drawn.findings)


def _keep(shop: str | None, file: Path, **names: str) -> tuple[dict[str, Any], str]:
    from hoopwright.jobs.shop_calibrations import keep_in_shop

    stored = keep_in_shop(shop, file, **names)
    record = stored.record
    keys = {key: getattr(record, key) for key in ("key", "die", "batch", "bender", "corrects")}
    how = "kept in the shop" if stored.is_new else "was in the shop already"
    told = f"\n{how} as '{record.key}': die '{record.die}', batch '{record.batch or 'not named'}', tube {record.tube}"
    return {**keys, "is_new": stored.is_new}, told


def _learn(
    file: Path,
    log: str,
    batch: str | None,
    chart: Path | None,
    write: Path | None,
    shop: str | None,
    as_json: bool,
) -> None:
    from hoopwright.cli.learnt_text import learnt_text
    from hoopwright.jobs import learning

    with stopping_on_findings(as_json):
        report = learning.calibrate_with_log(file, log_file(log), batch=batch, shop=shop)
        found = report.findings
        text = f"{_numbers(report.calibration)}\n\n{learnt_text(report)}"
        if chart is not None:
            from hoopwright.jobs.learning_chart import draw_chart

            found += draw_chart(report, chart).findings
            text += f"\nwritten: {chart}"
        if write is not None:
            learning.write_learnt(report, write)
            text += f"\nwritten: {write}; keep it with 'hoopwright calibrate {write} --project DIR' or --keep"
        show(as_json, report.keys, text, found)


_EXAMPLE = """\
# Sample bends of one die, tube and batch. Lengths in mm (or "1 3/4 in" in quotes), angles in degrees.
name = "45 die, first batch"   # what the sheets call it
die = "45"                     # the die, as the bars name it
batch = ""                     # heat number
od_mm = 45.0
wall_mm = 2.5
# What is expected before any bend, if you know it: yield from the certificate, or the kind of steel
# (normalised, as-welded, stress-relieved, cold-drawn, 4130-normalised, high-strength).
# yield_mpa = 480
# steel = "cold-drawn"

# Two or more: what the gauge read under load, and what was measured after release.
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[angle]]
command_deg = 90.0
released_deg = 86.5

# A bend of 90 (within 0.5) with measured legs: a square against the back of the tube.
[[leg]]
cut_mm = 900.0         # length before bending
mark_mm = 300.0        # from end A to the mark that sat at the die face
released_deg = 90.0
leg_a_mm = 471.5       # end A to the far side of the other leg
leg_b_mm = 536.5       # the other end to the far side of leg A

# Two parallel legs: outside width. Without it the radius is only as good as a stated prior.
[[u]]
outside_mm = 320.0
"""


def _text(made: "Calibration", suggestion: "SampleSuggestion") -> str:
    lines = [_numbers(made)]
    if made.springback is not None:
        line = made.springback
        lines.append(
            f"  {'springback':<38} {line.constant_deg:.3f}° + {line.per_command_deg:.4f} x command"
            f"  (scatter {line.scatter_sd_deg:.2f}°)"
        )
    lines += [f"  prior: {text}" for text in made.prior]
    lines.append(suggestion.sentence)
    return "\n".join(lines)


def _numbers(made: "Calibration") -> str:
    """Die, tube, radius, tube used and start offset."""
    lines = [
        f"calibration {made.name or 'without a name'}: die {made.die or 'not named'}, tube {made.tube} mm"
    ]
    for name, value, sd, unit in (
        ("finished radius", made.clr_mm, made.clr_sd_mm, "mm"),
        ("tube used per degree", made.used_per_deg_mm, made.used_per_deg_sd_mm, "mm"),
        ("start offset (die face to real start)", made.start_offset_mm, made.start_offset_sd_mm, "mm"),
    ):
        if value is None:
            lines.append(f"  {name:<38} not known from these samples")
        else:
            digits = 4 if "degree" in name else 2
            lines.append(f"  {name:<38} {value:.{digits}f} {unit}  ± {sd or 0.0:.{digits}f}")
    if made.used_per_deg_mm is not None:
        lines.append(f"  {'tube used for 90°':<38} {90 * made.used_per_deg_mm:.1f} mm")
    return "\n".join(lines)
