"""A calibration as JSON, and reading one from JSON or from a sample file."""

import json
import math
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from hoopwright.bender.calibration import Calibration, Springback
from hoopwright.bender.fit import fit_calibration
from hoopwright.bender.sample_files import (
    read_text,
    refuse,
    samples_as_keys,
    samples_from_keys,
    samples_from_text,
)
from hoopwright.findings import Finding, UserError, as_dict
from hoopwright.tubes import TubeSize

_PLAIN_KEYS = (
    "name",
    "die",
    "batch",
    "date",
    "clr_mm",
    "clr_sd_mm",
    "used_per_deg_mm",
    "used_per_deg_sd_mm",
    "start_offset_mm",
    "start_offset_sd_mm",
    "calibrated",
)


class _Loose(BaseModel):
    """Keys that a later version adds are let through."""

    model_config = ConfigDict(extra="ignore", allow_inf_nan=False)


class _SpringbackKeys(_Loose):
    constant_deg: float
    per_command_deg: float
    covariance: tuple[tuple[float, float], tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0))
    scatter_sd_deg: float = 0.0
    smallest_deg: float | None = None
    largest_deg: float | None = None


class CalibrationFile(_Loose):
    """The keys that `calibration_as_dict` writes."""

    kind: Literal["calibration"] = "calibration"
    name: str = ""
    die: str = ""
    batch: str = ""
    date: str = ""
    od_mm: float
    wall_mm: float
    clr_mm: float | None
    clr_sd_mm: float | None = None
    used_per_deg_mm: float | None
    used_per_deg_sd_mm: float | None = None
    start_offset_mm: float | None
    start_offset_sd_mm: float | None = None
    covariance: tuple[tuple[float, float, float], ...] | None = None
    springback: _SpringbackKeys | None
    prior: tuple[str, ...] = ()
    calibrated: bool = True
    samples: dict[str, Any] | None = None
    findings: tuple[Finding, ...] = Field(default=())

    def calibration(self, file_name: str) -> Calibration:
        """The calibration as the rest of the tool sees it.

        Raises:
            UserError: `CAL-005` or `TUBE-001` for numbers that cannot be.
        """
        _refuse_impossible(self, file_name)
        own = {"od_mm", "wall_mm", "kind", "springback", "samples", "findings"}
        line = self.springback
        return Calibration(
            **{key: getattr(self, key) for key in type(self).model_fields if key not in own},
            tube=TubeSize(od_mm=self.od_mm, wall_mm=self.wall_mm),
            springback=None if line is None else Springback(**line.model_dump()),
            samples=None if self.samples is None else samples_from_keys(self.samples, file_name),
            findings=self.findings,
        )


def read_calibration(path: Path) -> Calibration:
    """A calibration from a sample file (fitted now) or from JSON that was printed for one.

    Raises:
        UserError: `CAL-001` to `CAL-008` and `CAL-027`, with the file.
    """
    text = read_text(path)
    if not text.lstrip().startswith("{"):
        return fit_calibration(samples_from_text(text, path.name))
    try:
        keys = json.loads(text)
    except json.JSONDecodeError as error:
        what = f"it is not JSON: {error.msg} (at line {error.lineno}, column {error.colno})"
        raise refuse("CAL-002", path.name, what, "Give a sample file, or JSON as it was printed.") from None
    return calibration_from_dict(keys, path.name)


def calibration_as_dict(calibration: Calibration) -> dict[str, Any]:
    """The calibration as JSON carries it; numbers are not rounded."""
    line = calibration.springback
    return {
        "kind": "calibration",
        "od_mm": calibration.tube.od_mm,
        "wall_mm": calibration.tube.wall_mm,
        **{key: getattr(calibration, key) for key in _PLAIN_KEYS},
        "covariance": None if calibration.covariance is None else [list(r) for r in calibration.covariance],
        "springback": None
        if line is None
        else {**vars(line), "covariance": [list(row) for row in line.covariance]},
        "prior": list(calibration.prior),
        "samples": None if calibration.samples is None else samples_as_keys(calibration.samples),
        "findings": [as_dict(finding) for finding in calibration.findings],
    }


def calibration_from_dict(keys: dict[str, Any], file_name: str) -> Calibration:
    """The calibration that `calibration_as_dict` wrote.

    Raises:
        UserError: `CAL-004` for keys that are missing or cannot be read, `CAL-005` for impossible numbers.
    """
    try:
        return CalibrationFile.model_validate(keys).calibration(file_name)
    except ValidationError as error:
        raise UserError(
            *(
                refuse(
                    "CAL-004",
                    file_name,
                    f"{'.'.join(map(str, fault['loc'])) or 'the file'}: {fault['msg'].lower()}",
                    "Print it again with `hoopwright calibrate FILE --json`.",
                ).findings[0]
                for fault in error.errors()
            )
        ) from None


def _refuse_impossible(keys: CalibrationFile, file_name: str) -> None:
    clr, used, line = keys.clr_mm, keys.used_per_deg_mm, keys.springback
    problem = None
    if clr is not None and not keys.od_mm / 2.0 < clr < 1e5:
        problem = f"clr_mm = {clr:g} is no radius for a tube of {keys.od_mm:g} mm"
    elif used is not None and not 0.0 < used < 1e3:
        problem = f"used_per_deg_mm = {used:g} cannot be"
    elif line is not None and not abs(line.per_command_deg) < 0.5:
        problem = f"springback per degree = {line.per_command_deg:g} cannot be"
    elif any(value < 0.0 or not math.isfinite(value) for value in _sds(keys)):
        problem = "a standard deviation is negative"
    if problem is not None:
        raise refuse("CAL-005", file_name, problem, "Print it again with `hoopwright calibrate FILE --json`.")


def _sds(keys: CalibrationFile) -> list[float]:
    sds = (keys.clr_sd_mm, keys.used_per_deg_sd_mm, keys.start_offset_sd_mm)
    scatter = keys.springback.scatter_sd_deg if keys.springback else 0.0
    return [sd for sd in (*sds, scatter) if sd is not None]
