"""The tables of a case of a rule, each with the facts that it makes."""

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from hoopwright.cage.member import Role, Side
from hoopwright.rules.facts import (
    BarFacts,
    BendFacts,
    Certificate,
    DriverFacts,
    Extent,
    FootFacts,
    GussetFacts,
    HelmetRoom,
    HoleFacts,
    JointFacts,
    Measured,
    OpeningFacts,
    Pattern,
    Process,
)
from hoopwright.rules.measures import MEASURES
from hoopwright.rules.typed_values import (
    Angle,
    Area,
    BookKeys,
    Count,
    Length,
    Mass,
    Number,
    Ratio,
    RoleList,
    SignedAngle,
    SignedLength,
    SignedNumber,
    Text,
    Tube,
    angle_deg,
    book_unit,
    length_mm,
    ratio,
)

Vector = tuple[SignedNumber, SignedNumber, SignedNumber]


def _planes(value: Any) -> Any:
    """Two sides of one plane, or of each of several."""
    return [value] if isinstance(value, list) and value and not isinstance(value[0], list) else value


Planes = Annotated[tuple[tuple[Length, Length], ...], BeforeValidator(_planes)]


class CarKeys(BookKeys):
    """The car of a case."""

    weight_kg: Mass | None = Field(None, alias="weight")
    homologated: Text = ""
    engine_cm3: Number | None = Field(None, alias="engine")
    open: bool | None = None
    driver_side: Side = ""


class CertificateKeys(BookKeys):
    """A certificate; elements in % by mass, strengths in MPa."""

    number: Text = ""
    process: Process | None = None
    carbon_percent: Number | None = Field(None, alias="carbon")
    manganese_percent: Number | None = Field(None, alias="manganese")
    other_percent: Number | None = Field(None, alias="other")
    yield_mpa: Number | None = Field(None, alias="yield")
    tensile_mpa: Number | None = Field(None, alias="tensile")

    def facts(self) -> Certificate:
        """What it says."""
        return Certificate(**dict(self))


class BendKeys(BookKeys):
    """A bend, or its angle alone."""

    angle_deg: Angle = Field(90.0, alias="angle")
    clr_mm: Length | None = Field(None, alias="radius")
    is_reverse: bool = Field(False, alias="reverse")
    in_leg: bool | None = None
    side_view_deg: Angle | None = Field(None, alias="side_view")
    narrow_mm: Length | None = Field(None, alias="narrow")
    wide_mm: Length | None = Field(None, alias="wide")

    def facts(self) -> BendFacts:
        """The bend."""
        return BendFacts(**dict(self))


def _bend(value: Any) -> Any:
    return value if isinstance(value, dict) else {"angle": value}


class BarKeys(BookKeys):
    """A bar of a case."""

    bar_id: Text = Field("bar", alias="id")
    role: Role | None = None
    side: Side = ""
    tube: Tube | None = None
    od_measured_mm: Length | None = Field(None, alias="od_measured")
    wall_measured_mm: Length | None = Field(None, alias="wall_measured")
    steel: Text = ""
    certificate: CertificateKeys | None = None
    bends: tuple[Annotated[BendKeys, BeforeValidator(_bend)], ...] | None = None
    down_mm: Vector | None = Field(None, alias="vector")
    length_mm: Length | None = Field(None, alias="length")
    is_one_piece: bool | None = Field(None, alias="one_piece")
    is_required: bool | None = Field(None, alias="required")
    padding_mm: Length | None = Field(None, alias="padding")
    padding_standard: Text = ""

    def facts(self) -> BarFacts:
        """The bar."""
        bends = None if self.bends is None else tuple(bend.facts() for bend in self.bends)
        certificate = None if self.certificate is None else self.certificate.facts()
        return BarFacts(**{**dict(self), "bends": bends, "certificate": certificate})


class MeasureKeys(BookKeys):
    """A named measure of a case; its name comes from the rule where it is left out."""

    name: Text = Field("", alias="of")
    about: Text = Field("bar", alias="id")
    role: Role | None = None
    measured: Any = None
    other: Any = None

    @model_validator(mode="after")
    def _read(self, info: ValidationInfo) -> Self:
        self.facts(book_unit(info), str((info.context or {}).get("of", "")))
        return self

    def facts(self, unit: str, of: str) -> Measured:
        """The measure; numbers are read as what the measure is, so its name must be known."""
        name = self.name or of
        if name not in MEASURES:
            msg = f"'{name[:60]}' is not a known measure; known are: {', '.join(MEASURES)}"
            raise ValueError(msg)
        readers = {"distance": lambda value: length_mm(value, unit), "angle": angle_deg, "ratio": ratio}
        read = readers[MEASURES[name].dimension]
        measured, other = (None if value is None else read(value) for value in (self.measured, self.other))
        return Measured(name=name, about=self.about, role=self.role, measured=measured, other=other)


class FootKeys(BookKeys):
    """A foot of a case; `sides` are two lengths, or two for each flat part."""

    bar_id: Text = Field("foot", alias="id")
    role: Role | None = None
    side: Side = ""
    tube: Tube | None = None
    planes_mm: Planes | None = Field(None, alias="sides")
    area_mm2: Area | None = Field(None, alias="area")
    contact_mm2: Area | None = Field(None, alias="contact")
    thickness_mm: Length | None = Field(None, alias="thickness")
    backing_mm: Length | None = Field(None, alias="backing")
    is_bolted: bool | None = Field(None, alias="bolted")
    bolts: Count | None = None
    bolt_mm: Length | None = Field(None, alias="bolt")
    bolt_grade: Text = Field("", alias="grade")
    in_double_shear: bool | None = Field(None, alias="double_shear")

    def facts(self) -> FootFacts:
        """The foot."""
        return FootFacts(**dict(self))


class GussetKeys(BookKeys):
    """A gusset of a case."""

    name: Text = Field("gusset", alias="id")
    largest_od_mm: Length | None = Field(None, alias="od")
    legs_mm: tuple[Length, ...] | None = Field(None, alias="legs")
    thickness_mm: Length | None = Field(None, alias="thickness")
    cutout_mm: Length | None = Field(None, alias="cutout")
    hole_mm: Length | None = Field(None, alias="hole")
    is_folded: bool | None = Field(None, alias="folded")

    def facts(self) -> GussetFacts:
        """The gusset."""
        return GussetFacts(**dict(self))


class JointKeys(BookKeys):
    """A joint of a case."""

    joint_id: Text = Field("joint", alias="id")
    roles: frozenset[Role] = frozenset()
    gussets: Count | None = None
    is_crossing: bool | None = Field(None, alias="crossing")
    is_removable: bool | None = Field(None, alias="removable")
    bolt_mm: Length | None = Field(None, alias="bolt")
    bolt_grade: Text = Field("", alias="grade")

    def facts(self) -> JointFacts:
        """The joint."""
        return JointFacts(**dict(self))


class HoleKeys(BookKeys):
    """An inspection hole of a case."""

    bar_id: Text = Field("bar", alias="id")
    role: Role | None = None
    diameter_mm: Length | None = Field(None, alias="diameter")
    to_weld_mm: Length | None = Field(None, alias="to_weld")
    to_bend_mm: Length | None = Field(None, alias="to_bend")

    def facts(self) -> HoleFacts:
        """The hole."""
        return HoleFacts(**dict(self))


class DriverKeys(BookKeys):
    """A driver of a case; `near` gives the room from the helmet to each bar by its name."""

    driver_id: Text = Field("driver", alias="id")
    helmet_line_mm: SignedLength | None = Field(None, alias="helmet_line")
    seat_drop_ratio: Ratio = Field(1.0, alias="seat_drop")
    brace_line_mm: SignedLength | None = Field(None, alias="brace_line")
    level_mm: SignedLength | None = Field(None, alias="level")
    belt_deg: SignedAngle | None = Field(None, alias="belt")
    exit_s: Number | None = Field(None, alias="exit")
    near: dict[str, SignedLength] | None = None

    def facts(self) -> DriverFacts:
        """The driver."""
        rooms = (
            None
            if self.near is None
            else tuple(HelmetRoom(bar_id=name, room_mm=room) for name, room in self.near.items())
        )
        return DriverFacts(**{key: value for key, value in dict(self).items() if key != "near"}, rooms=rooms)


class OpeningKeys(BookKeys):
    """A door opening of a case."""

    side: Side = ""
    circle_mm: Length | None = Field(None, alias="circle")
    free_ratio: Ratio | None = Field(None, alias="free")
    crossed_by: RoleList | None = None

    def facts(self) -> OpeningFacts:
        """The opening."""
        return OpeningFacts(**dict(self))


class ExtentKeys(BookKeys):
    """How far a cage reaches in a case."""

    front_mm: SignedLength | None = Field(None, alias="front")
    rear_mm: SignedLength | None = Field(None, alias="rear")
    front_mount_mm: SignedLength | None = Field(None, alias="front_mount")
    rear_mount_mm: SignedLength | None = Field(None, alias="rear_mount")

    def facts(self) -> Extent:
        """The extent."""
        return Extent(**dict(self))


class PatternKeys(BookKeys):
    """What bars together form in a case."""

    place: Text
    name: Text
    side: Side = ""

    def facts(self) -> Pattern:
        """The pattern."""
        return Pattern(place=self.place, name=self.name, side=self.side)
