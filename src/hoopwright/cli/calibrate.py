"""`hoopwright calibrate`: radius, tube used, start offset and springback from sample bends."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings

if TYPE_CHECKING:
    from hoopwright.bender import Calibration, SampleSuggestion


def calibrate(
    file: Annotated[Path, typer.Argument(help="Sample bends (TOML).")],
    project: Annotated[Path | None, typer.Option(help="Keep the calibration in this project too.")] = None,
    as_json: AsJson = False,
) -> None:
    """What the samples say of this die, tube and batch, each number with its uncertainty."""
    from hoopwright.jobs import calibrations
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        fitted = calibrations.calibrate(file)
        if project is not None:
            calibrations.keep_calibration(ProjectFolder(path=project), file)
        text = _text(fitted.calibration, fitted.suggestion)
        show(as_json, lambda: dict(fitted.keys), text, fitted.calibration.findings)


def _text(made: "Calibration", suggestion: "SampleSuggestion") -> str:
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
    if made.springback is not None:
        line = made.springback
        lines.append(
            f"  {'springback':<38} {line.constant_deg:.3f}° + {line.per_command_deg:.4f} x command"
            f"  (scatter {line.scatter_sd_deg:.2f}°)"
        )
    lines += [f"  prior: {text}" for text in made.prior]
    lines.append(suggestion.sentence)
    return "\n".join(lines)
