"""Numbers that a person measures on the cage or reads from a certificate, kept as records."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

from hoopwright.cage import Cage, feet_of, free_ends_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.typed import unreadable
from hoopwright.rules.measures import MEASURES
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.build_records import HandMeasure
from hoopwright.units import parse_angle_deg, parse_length_mm

Unit = Literal["mm", "deg", "s", "MPa", "%", ""]
OVALITY = "ovality"
REQUIRED = "required"
_ROOM = 0.5
"""A bend keeps at least this share of its tube's diameter each way, or it is a typing error: no source."""


@dataclass(frozen=True, kw_only=True)
class HandKind:
    """What can be typed of a cage by hand.

    Args:
        unit: Of the number.
        at: What it is measured at.
        least: Smallest number that can be, in the unit.
        most: Largest.
        what: In words.
    """

    unit: Unit
    at: Literal["bar", "bend", "foot", "driver", "any"]
    least: float
    most: float
    what: str


def _kind(
    unit: Unit, at: Literal["bar", "bend", "foot", "driver"], least: float, most: float, what: str
) -> HandKind:
    return HandKind(unit=unit, at=at, least=least, most=most, what=what)


OWN_KINDS: Mapping[str, HandKind] = MappingProxyType({
    OVALITY: _kind("mm", "bend", 5.0, 300.0, "smallest and largest outside width in a bend, as 40.9/46.2"),
    "outside diameter": _kind("mm", "bar", 5.0, 300.0, "of the straight tube, measured"),
    "wall": _kind("mm", "bar", 0.3, 20.0, "of the tube, measured"),
    "padding": _kind("mm", "bar", 0.0, 150.0, "thickness of the padding on a bar; 0 for none"),
    REQUIRED: _kind("", "bar", 0.0, 1.0, "1 where the book demands this bar, 0 where it was added freely"),
    "carbon": _kind("%", "bar", 0.0, 20.0, "by mass, from the certificate"),
    "manganese": _kind("%", "bar", 0.0, 20.0, "by mass, from the certificate"),
    "other elements": _kind("%", "bar", 0.0, 60.0, "all others together, by mass, from the certificate"),
    "yield": _kind("MPa", "bar", 50.0, 3000.0, "yield strength, from the certificate"),
    "tensile": _kind("MPa", "bar", 50.0, 3000.0, "tensile strength, from the certificate"),
    "plate length": _kind("mm", "foot", 10.0, 1000.0, "of a flat plate under a foot, as made"),
    "plate width": _kind("mm", "foot", 10.0, 1000.0, "of a flat plate under a foot, as made"),
    "plate thickness": _kind("mm", "foot", 0.5, 30.0, "of the plate under a foot, as made"),
    "bolts": _kind("", "foot", 0.0, 16.0, "how many hold the foot; 0 is welded"),
    "bolt diameter": _kind("mm", "foot", 4.0, 24.0, "nominal"),
    "backing plate": _kind("mm", "foot", 0.0, 30.0, "thickness of the plate under the shell; 0 for none"),
    "exit time": _kind("s", "driver", 0.1, 600.0, "in which the driver got out"),
})  # fmt: skip
_OF_MEASURE: Mapping[str, tuple[Unit, float, float]] = MappingProxyType({
    "distance": ("mm", -20_000.0, 20_000.0), "angle": ("deg", -180.0, 180.0), "ratio": ("", 0.0, 100.0),
})  # fmt: skip


def hand_kinds() -> Mapping[str, HandKind]:
    """Everything that can be typed by hand, by name: our own, and the named measures of rule books."""
    named = {}
    for name, meaning in MEASURES.items():
        unit, least, most = _OF_MEASURE[meaning.dimension]
        named[name] = HandKind(unit=unit, at="any", least=least, most=most, what=meaning.how)
    return MappingProxyType({**OWN_KINDS, **named})


@dataclass(frozen=True, kw_only=True)
class TypedMeasure:
    """A number as it was typed.

    Args:
        name: What was measured.
        text: The number; two with a stroke between them for an ovality. Empty takes the last one back.
        bend: Number of the bend, from 1; 0 where it is not about a bend.
    """

    name: str
    text: str
    bend: int = 0


def measured_by_hand(folder: ProjectFolder) -> tuple[HandMeasure, ...]:
    """What counts of the numbers typed by hand."""
    return folder.open().project.measures_in_force


def keep_measures(
    folder: ProjectFolder, about: str, typed: Sequence[TypedMeasure], *, date: str
) -> tuple[HandMeasure, ...]:
    """Keep numbers that were measured at one bar, foot, side or driver.

    Args:
        folder: The project.
        about: A bar, `MH foot A`, a driver, `L`, `R` or `cage`.
        typed: The numbers.
        date: Day, ISO 8601.

    Raises:
        UserError: `HELD-004` for something that is not there, `HELD-005` for a number that cannot be, `TYPED-001`
            and `UNIT-...` for what cannot be read; nothing is kept then.
    """
    opened = folder.open()
    place = _place(opened.project, about)
    records = tuple(_record(opened.project.cage, place, one, date) for one in typed)
    folder.record(opened, replace(opened.project, measures=(*opened.project.measures, *records)))
    return records


def foot_name(bar_id: str, end: str) -> str:
    """What a foot is called in rows and on papers."""
    return f"{bar_id} foot {end}"


def places_for(cage: Cage, at: str) -> list[str]:
    """Everything that can be measured at.

    Args:
        cage: The cage.
        at: As a `HandKind` says.
    """
    # an end of which nobody said what it lands on is a foot once something is measured there
    feet = [foot_name(foot.bar_id, foot.end) for foot in (*feet_of(cage), *free_ends_of(cage))]
    bars = [member.member_id for member in cage.members]
    bent = [name for name in bars if _bends_of(cage, name)]
    drivers = [driver.name for driver in cage.drivers]
    of_one = {"bar": bars, "bend": bent, "foot": feet, "driver": drivers}
    return of_one.get(at, [*bars, *feet, *drivers, "L", "R", "cage"])


def _bends_of(cage: Cage, bar_id: str) -> int:
    member = cage.member(bar_id)
    return len((cage.member(member.mirror_of) if member.mirror_of else member).nodes_mm) - 2


def _place(project: Project, about: str) -> str:
    words = " ".join(about.split())
    known = places_for(project.cage, "any")
    found = next((one for one in known if one.lower() == words.lower()), None)
    if found is None:
        raise UserError(
            Finding(
                code="HELD-004",
                severity=Severity.STOP,
                sentence=_why_not(project.cage, words)
                or f"There is no bar, foot, driver or side '{about[:60]}' to measure at.",
                todo=f"Type one of: {', '.join(known)}. What is measured at none of them answers its rule: "
                "hoopwright rules answer PROJECT RULE pass 'what was measured or seen'.",
                objects=(about[:60],),
            )
        )
    return found


def _why_not(cage: Cage, words: str) -> str:
    """Why an end of a bar that is there is no foot; empty where it is another thing."""
    for member in cage.members:
        for letter, end in (("A", member.end_a), ("B", member.end_b)):
            if end.on is not None and words.lower() == foot_name(member.member_id, letter).lower():
                return (
                    f"There is no foot at end {letter} of {member.member_id} to measure: it ends on {end.on}."
                )
    return ""


def _record(cage: Cage, about: str, typed: TypedMeasure, date: str) -> HandMeasure:
    kinds = hand_kinds()
    name = next((one for one in kinds if one.lower() == " ".join(typed.name.split()).lower()), None)
    if name is None:
        raise unreadable(typed.name, f"one of {', '.join(kinds)}")
    kind = kinds[name]
    _refuse_place(cage, about, name, kind, typed.bend)
    if not typed.text.strip():
        return HandMeasure(about=about, name=name, bend=typed.bend, measured=None, other=None, date=date)
    texts = _two_widths(typed.text) if name == OVALITY else [typed.text]
    numbers = sorted(_number(text, kind, name, about) for text in texts)
    if name == OVALITY:
        _refuse_widths(cage, about, numbers)
    return HandMeasure(
        about=about,
        name=name,
        bend=typed.bend,
        measured=numbers[0],
        other=numbers[1] if len(numbers) > 1 else None,
        date=date,
    )


def _two_widths(text: str) -> list[str]:
    """Both widths of an ovality; a unit after the second holds for the first too, where that has none."""
    texts = text.split("/")
    if len(texts) != 2:
        raise unreadable(text, "the smallest and the largest outside width, such as 40.9/46.2")
    unit = texts[1].strip().lstrip("0123456789.,").strip()
    first = texts[0].strip()
    if unit and first and not first.lstrip("0123456789.,"):
        first = f"{first} {unit}"
    return [first, texts[1]]


def _number(text: str, kind: HandKind, name: str, about: str) -> float:
    if kind.unit == "mm":
        value = parse_length_mm(text)
    elif kind.unit == "deg":
        value = parse_angle_deg(text)
    else:
        try:
            value = float(text.strip().removesuffix(kind.unit).replace(",", "."))
        except ValueError:
            raise unreadable(text, f"{name} as a plain number in {kind.unit or 'parts of one'}") from None
        if name == "bolts" and value != round(value):
            raise unreadable(text, "a whole number of bolts")
    if not (math.isfinite(value) and kind.least <= value <= kind.most):
        raise _cannot_be(about, name, value, kind.least if value < kind.least else kind.most, kind.unit)
    return value


def _refuse_widths(cage: Cage, about: str, widths_mm: Sequence[float]) -> None:
    od_mm = cage.member(about).tube.od_mm
    for width in widths_mm:
        if not od_mm * _ROOM <= width <= od_mm * (1.0 + _ROOM):
            limit = od_mm * (_ROOM if width < od_mm else 1.0 + _ROOM)
            raise _cannot_be(about, OVALITY, width, limit, "mm", f" on a tube of {od_mm:g} mm")


def _refuse_place(cage: Cage, about: str, name: str, kind: HandKind, bend: int) -> None:
    is_bar, is_foot = about in cage, " foot " in about
    wrong = {
        "bar": not is_bar,
        "bend": not is_bar,
        "foot": not is_foot,
        "driver": all(driver.name != about for driver in cage.drivers),
        "any": False,
    }[kind.at]
    if wrong:
        raise unreadable(about, f"a {kind.at.replace('bend', 'bar')}: {name} is measured at one")
    bends = 0
    if is_bar:
        bends = _bends_of(cage, about)
    if (kind.at == "bend" and not 1 <= bend <= bends) or (kind.at != "bend" and bend):
        raise UserError(
            Finding(
                code="HELD-005",
                severity=Severity.STOP,
                sentence=f"{name} of {about}: there is no bend {bend} to measure; the bar has {bends}."
                if kind.at == "bend"
                else f"{name} of {about} is not about a bend.",
                todo="Give the number of a bend, from 1 at end A."
                if kind.at == "bend"
                else "Leave the number of the bend out.",
                objects=(about,),
            )
        )


def _cannot_be(about: str, name: str, value: float, limit: float, unit: str, why: str = "") -> UserError:
    bound = f"{'at least' if value < limit else 'at most'} {limit:g} {unit}".rstrip() + why
    return UserError(
        Finding(
            code="HELD-005",
            severity=Severity.STOP,
            sentence=f"{name} of {about}: {value:g} {unit} cannot be; {bound} can.",
            todo="Type it again; check the unit.",
            objects=(about,),
            measured=value,
            limit=limit,
            unit=unit,
        )
    )
