"""Every kind of check, by the name that a book types. A new kind is a new file and a line here."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from hoopwright.rules.kinds import (
    attachments,
    belts,
    bend_radius,
    bends,
    bolts,
    door_opening,
    equivalent,
    exit_time,
    extent,
    gusset,
    helmet,
    inspection_hole,
    joint_gussets,
    load_test,
    material,
    members,
    named,
    one_piece,
    ovality,
    padding,
    pattern,
    plate,
    question,
    removable,
    same_tube,
    section,
    straight,
    tube_size,
)
from hoopwright.rules.kinds.kind import About, Kind, always
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome
from hoopwright.rules.kinds.scope import Scope

QUESTION = "question"
LOAD_TEST = "load test"


def _angle_about(limits: named.AngleLimits) -> About:
    return "bar" if limits.of == named.VERTICAL else "measure"


def _angle(limits: named.AngleLimits, thing: Any, scope: Scope) -> Iterable[Outcome]:
    check = named.check_vertical if limits.of == named.VERTICAL else named.check_measure
    return check(limits, thing, scope)


def _kind(name: str, about: About, module: Any, limits: type[Limits], needs: str) -> Kind:
    """A kind whose file has `check` and `words`, and looks at one sort of thing."""
    return Kind(
        name=name, about=always(about), limits=limits, check=module.check, words=module.words, needs=needs
    )


def _measure(name: str, limits: type[Limits]) -> Kind:
    return Kind(
        name=name,
        about=always("measure"),
        limits=limits,
        check=named.check_measure,
        words=named.words,
        needs="the parts that it is measured between",
    )


_BARS, _CERTIFICATE = "the bars", "each tube's certificate"
_KINDS = (
    _kind(
        "tube size",
        "bar",
        tube_size,
        tube_size.TubeSizeLimits,
        "each bar's tube; the car's weight where it counts",
    ),
    _kind("section", "bar", section, section.SectionLimits, "each bar's tube"),
    _kind(
        "tube equivalent", "bar", equivalent, equivalent.EquivalentLimits, f"each bar's tube, {_CERTIFICATE}"
    ),
    _kind("same tube", "bar", same_tube, same_tube.SameTubeLimits, "the tubes of both bars"),
    _kind("material", "bar", material, material.MaterialLimits, _CERTIFICATE),
    _kind("bend radius", "bar", bend_radius, bend_radius.BendRadiusLimits, _BARS),
    _kind("ovality", "bar", ovality, ovality.OvalityLimits, "two widths measured in each bend"),
    _kind("bends", "bar", bends, bends.BendsLimits, f"{_BARS}; where a leg ends, where it counts"),
    _kind("straight", "bar", straight, straight.StraightLimits, _BARS),
    _kind("one piece", "bar", one_piece, one_piece.OnePieceLimits, _BARS),
    Kind(
        name="angle",
        about=_angle_about,
        limits=named.AngleLimits,
        check=_angle,
        words=named.words,
        needs=f"{_BARS}, or the parts that it is measured between",
    ),
    _measure("distance", named.DistanceLimits),
    _measure("ratio", named.RatioLimits),
    _kind(
        "members", "cage", members, members.MembersLimits, "bars with roles; door openings where they count"
    ),
    _kind("pattern", "cage", pattern, pattern.PatternLimits, _BARS),
    _kind("attachments", "cage", attachments, attachments.AttachmentsLimits, "the feet"),
    _kind("plate", "foot", plate, plate.PlateLimits, "the landings"),
    _kind("bolts", "foot", bolts, bolts.BoltsLimits, "the landings with their bolts"),
    _kind("gusset", "gusset", gusset, gusset.GussetLimits, "the gussets"),
    _kind("gussets at joint", "joint", joint_gussets, joint_gussets.JointGussetsLimits, "joints and gussets"),
    _kind("removable joints", "cage", removable, removable.RemovableLimits, "which joints can be undone"),
    _kind("inspection hole", "cage", inspection_hole, inspection_hole.InspectionHoleLimits, "the holes"),
    _kind("helmet", "driver", helmet, helmet.HelmetLimits, "the driver's helmet"),
    _kind("padding", "driver", padding, padding.PaddingLimits, "the driver's helmet, the padding on bars"),
    _kind("belts", "driver", belts, belts.BeltsLimits, "the driver's shoulder and the belt's guide"),
    _kind(
        "door opening", "opening", door_opening, door_opening.DoorOpeningLimits, "corners of the door opening"
    ),
    _kind("extent", "cage", extent, extent.ExtentLimits, "the suspension mounting points"),
    _kind("exit", "driver", exit_time, exit_time.ExitLimits, "a timed exit"),
    _kind(LOAD_TEST, "cage", load_test, load_test.LoadTestLimits, "the car's weight, and a test house"),
    _kind(QUESTION, "cage", question, question.QuestionLimits, "a person's answer"),
)
KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _KINDS})
