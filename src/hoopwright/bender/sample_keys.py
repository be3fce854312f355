"""The keys of a sample-bend file."""

import datetime as dt
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from hoopwright.bender.samples import (
    DEFAULT_GAUGE_SD_DEG,
    DEFAULT_TAPE_SD_MM,
    AngleSample,
    LegSample,
    PlainNumbers,
    Samples,
    USample,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize
from hoopwright.units import parse_angle_deg, parse_length_mm


def _length(value: Any) -> float:
    return _number(value, parse_length_mm)


def _angle(value: Any) -> float:
    return _number(value, parse_angle_deg)


def _plain(value: Any) -> float:
    return _number(value, float)


def _number(value: Any, parse: Any) -> float:
    if isinstance(value, str):
        try:
            return float(parse(value))
        except UserError as error:
            raise ValueError(error.findings[0].sentence.rstrip(".")) from None
    if isinstance(value, bool) or not isinstance(value, int | float):
        msg = f"'{value}' is not a number"
        raise ValueError(msg)
    try:
        return float(value)
    except OverflowError:
        msg = "the number is too large"
        raise ValueError(msg) from None


def _text(value: Any) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, str | int) and not isinstance(value, bool):
        return str(value)
    msg = f"'{value}' is not a text"
    raise ValueError(msg)


_Length = Annotated[float, BeforeValidator(_length)]
_Angle = Annotated[float, BeforeValidator(_angle)]
_Plain = Annotated[float, BeforeValidator(_plain)]
_Text = Annotated[str, BeforeValidator(_text)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _AngleTable(_Strict):
    command_deg: _Angle
    released_deg: _Angle


class _LegTable(_Strict):
    cut_mm: _Length
    mark_mm: _Length
    released_deg: _Angle = 90.0
    leg_a_mm: _Length
    leg_b_mm: _Length


class _UTable(_Strict):
    outside_mm: _Length


class _PlainTable(_Strict):
    clr_mm: _Length | None = None
    start_offset_mm: _Length | None = None
    used_per_deg_mm: _Length | None = None
    constant_deg: _Angle | None = None
    per_command_deg: _Angle | None = None


class SampleFile(_Strict):
    """The file's keys; `Samples` is what the rest of the tool sees."""

    od_mm: _Length
    wall_mm: _Length
    name: _Text = ""
    die: _Text = ""
    batch: _Text = ""
    date: _Text = ""
    gauge_sd_deg: _Angle = DEFAULT_GAUGE_SD_DEG
    tape_sd_mm: _Length = DEFAULT_TAPE_SD_MM
    yield_mpa: _Plain | None = None
    steel: _Text = ""
    angle: list[_AngleTable] = Field(default_factory=list)
    leg: list[_LegTable] = Field(default_factory=list)
    u: list[_UTable] = Field(default_factory=list)
    plain: list[_PlainTable] = Field(default_factory=list)

    def samples(self) -> Samples:
        """The samples as the rest of the tool sees them.

        Raises:
            UserError: `TUBE-001` or `CAL-005` to `CAL-008` for numbers that cannot be.
        """
        return Samples(
            tube=TubeSize(od_mm=self.od_mm, wall_mm=self.wall_mm),
            angles=tuple(AngleSample(**row.model_dump()) for row in self.angle),
            legs=tuple(LegSample(**row.model_dump()) for row in self.leg),
            us=tuple(USample(**row.model_dump()) for row in self.u),
            plains=tuple(PlainNumbers(**row.model_dump()) for row in self.plain),
            name=self.name,
            die=self.die,
            batch=self.batch,
            date=self.date,
            gauge_sd_deg=self.gauge_sd_deg,
            tape_sd_mm=self.tape_sd_mm,
            yield_mpa=self.yield_mpa,
            steel=self.steel,
        )


SAMPLE_TABLES: dict[str, type[BaseModel]] = {
    "angle": _AngleTable,
    "leg": _LegTable,
    "u": _UTable,
    "plain": _PlainTable,
}
