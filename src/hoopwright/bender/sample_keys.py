"""The keys of a sample-bend file."""

from pydantic import BaseModel, Field

from hoopwright.bender.samples import (
    DEFAULT_GAUGE_SD_DEG,
    DEFAULT_TAPE_SD_MM,
    AngleSample,
    LegSample,
    PlainNumbers,
    Samples,
    USample,
)
from hoopwright.bender.typed_keys import KnownKeys, TypedAngle, TypedLength, TypedNumber, TypedText
from hoopwright.tubes import TubeSize


class _AngleTable(KnownKeys):
    command_deg: TypedAngle
    released_deg: TypedAngle


class _LegTable(KnownKeys):
    cut_mm: TypedLength
    mark_mm: TypedLength
    released_deg: TypedAngle = 90.0
    leg_a_mm: TypedLength
    leg_b_mm: TypedLength


class _UTable(KnownKeys):
    outside_mm: TypedLength


class _PlainTable(KnownKeys):
    clr_mm: TypedLength | None = None
    start_offset_mm: TypedLength | None = None
    used_per_deg_mm: TypedLength | None = None
    constant_deg: TypedAngle | None = None
    per_command_deg: TypedAngle | None = None


class SampleFile(KnownKeys):
    """The file's keys; `Samples` is what the rest of the tool sees."""

    od_mm: TypedLength
    wall_mm: TypedLength
    name: TypedText = ""
    die: TypedText = ""
    batch: TypedText = ""
    date: TypedText = ""
    gauge_sd_deg: TypedAngle = DEFAULT_GAUGE_SD_DEG
    tape_sd_mm: TypedLength = DEFAULT_TAPE_SD_MM
    yield_mpa: TypedNumber | None = None
    steel: TypedText = ""
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
