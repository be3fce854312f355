"""Bolts of a foot: how many, how thick, which grade, and their section against that of another foot."""

import math
from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import FootFacts
from hoopwright.rules.kinds.grades import good_enough, grade_of
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import BY_HAND, Outcome, by_hand, held_against, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import Count, Length, Ratio, RoleList, Texts


class BoltsLimits(Limits):
    """Keys of a rule on the bolts of feet."""

    least: Count | None = None
    size_least_mm: Length | None = Field(None, alias="size_least")
    grade_least: Texts = ()
    section_of_ratio: Ratio | None = Field(None, alias="section_of")
    reference: RoleList = ()
    or_double_shear: bool = False

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if not (self.least or self.size_least_mm or self.grade_least or self.section_of_ratio):
            msg = "the limit is missing: type least, size_least, grade_least or section_of"
            raise ValueError(msg)
        strange = [grade for grade in self.grade_least if grade_of(grade) is None]
        if strange:
            msg = f'\'{strange[0][:60]}\' is not a known grade; type "8.8" or "SAE 5"'
            raise ValueError(msg)
        if self.section_of_ratio is not None and not self.reference:
            msg = "section_of needs reference = [...], the bars whose feet it is compared with"
            raise ValueError(msg)
        return self


def words(limits: BoltsLimits, show: Show) -> str:
    """The requirement in words."""
    told = [] if limits.least is None else [f"number >= {limits.least}"]
    told += (
        [] if limits.size_least_mm is None else [f"size {show.limit(limits.size_least_mm, 'mm', 'least')}"]
    )
    told += [f"grade at least {one_of(limits.grade_least)}"] if limits.grade_least else []
    if limits.section_of_ratio is not None:
        told.append(f"section >= {limits.section_of_ratio:.3g} of that at a {one_of(limits.reference)} foot")
    return f"bolts: {', '.join(told)}" + (", or one in double shear" if limits.or_double_shear else "")


def check(limits: BoltsLimits, foot: FootFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the bolts of one foot against each part of the rule."""
    if foot.is_bolted is None and foot.bolts is None:
        yield not_checked(
            foot.bar_id,
            f"say how the foot is held: {by_hand(foot.bar_id, 'bolts')}, 0 where it is welded",
            place_mm=foot.place_mm,
        )
        return
    if foot.is_bolted is False or foot.bolts == 0:
        yield Outcome(about=foot.bar_id, verdict=Verdict.NOT_APPLICABLE, note="the foot is welded")
        return
    if limits.or_double_shear and foot.bolts == 1 and foot.in_double_shear is not False:
        yield _double_shear(foot)
        return
    if limits.least is not None:
        yield _least(foot, "number", foot.bolts, limits.least, "")
    if limits.size_least_mm is not None:
        yield _least(foot, "size", foot.bolt_mm, limits.size_least_mm, "mm")
    if limits.grade_least:
        yield held_grade(foot.bar_id, foot.bolt_grade, limits.grade_least)
    if limits.section_of_ratio is not None:
        yield _section(limits, foot, scope)


def _double_shear(foot: FootFacts) -> Outcome:
    if foot.in_double_shear is None:
        return not_checked(foot.bar_id, "say whether its bolt stands in double shear with a welded bush")
    return Outcome(
        about=foot.bar_id,
        verdict=Verdict.PASS,
        measured_words="one bolt in double shear with a welded bush",
        how="as made or drawn",
        place_mm=foot.place_mm,
    )


def _least(foot: FootFacts, part: str, value: float | None, limit: float, unit: str) -> Outcome:
    if value is None:
        how = by_hand(foot.bar_id, "bolts" if part == "number" else "bolt diameter")
        give = f"give the {part} of its bolts: {how}"
        return not_checked(foot.bar_id, give, part=part, place_mm=foot.place_mm)
    is_number = part == "number"
    return held_against(
        value,
        limit,
        "least",
        unit=unit,
        about=foot.bar_id,
        part=part,
        how=BY_HAND if ("bolts" if is_number else "bolt_mm") in foot.by_hand else "as made or drawn",
        todo="Take more bolts." if is_number else "Take thicker bolts.",
        place_mm=foot.place_mm,
    )


def held_grade(about: str, grade: str, wanted: tuple[str, ...]) -> Outcome:
    """The outcome of a bolt's grade; grades of another standard are not compared."""
    enough = good_enough(grade, wanted)
    if enough is None:
        give = f"the book asks for {one_of(wanted)}: ask whether {grade} will do" if grade else ""
        asks = (
            ""
            if grade
            else f"Which grade stands on the heads of its bolts? At least {one_of(wanted)} is asked."
        )
        return not_checked(about, give, part="grade", asks=asks)
    return Outcome(
        about=about,
        part="grade",
        verdict=judged(enough),
        measured_words=grade,
        limit_words=f"at least {one_of(wanted)}",
        how="as marked on the head",
        todo="" if enough else f"Take bolts of grade {one_of(wanted)} or better.",
    )


def _section(limits: BoltsLimits, foot: FootFacts, scope: Scope) -> Outcome:
    ours = _section_mm2(foot)
    others = [
        _section_mm2(one)
        for one in scope.facts.feet or ()
        if one.role in limits.reference and one.is_bolted is not False
    ]
    if ours is None or not others or None in others:
        give = f"give number and size of the bolts here and at the {one_of(limits.reference)}"
        return not_checked(foot.bar_id, give, part="section", place_mm=foot.place_mm)
    most = max(other for other in others if other is not None)
    return held_against(
        ours / most,
        limits.section_of_ratio or 0.0,
        "least",
        about=foot.bar_id,
        part="section",
        how=f"nominal section of all its bolts over that of the strongest {one_of(limits.reference)} foot",
        todo="Take more or thicker bolts.",
        place_mm=foot.place_mm,
    )


def _section_mm2(foot: FootFacts) -> float | None:
    if not foot.bolts or foot.bolt_mm is None:
        return None
    return foot.bolts * math.pi / 4.0 * foot.bolt_mm**2
