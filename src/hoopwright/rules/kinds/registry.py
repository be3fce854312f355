"""Every kind of check, by the name that a book types. A new kind is a new file and a line here."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from hoopwright.rules.kinds import named, tube_size
from hoopwright.rules.kinds.kind import About, Kind, always
from hoopwright.rules.kinds.outcome import Outcome
from hoopwright.rules.kinds.scope import Scope


def _angle_about(limits: named.AngleLimits) -> About:
    return "bar" if limits.of == named.VERTICAL else "measure"


def _angle(limits: named.AngleLimits, thing: Any, scope: Scope) -> Iterable[Outcome]:
    check = named.check_vertical if limits.of == named.VERTICAL else named.check_measure
    return check(limits, thing, scope)


_KINDS = (
    Kind(
        name="tube size",
        about=always("bar"),
        limits=tube_size.TubeSizeLimits,
        check=tube_size.check,
        words=tube_size.words,
        needs="the tube of each bar, and the car's weight where the book asks for it",
    ),
    Kind(
        name="angle",
        about=_angle_about,
        limits=named.AngleLimits,
        check=_angle,
        words=named.words,
        needs="the bars",
    ),
    Kind(
        name="distance",
        about=always("measure"),
        limits=named.DistanceLimits,
        check=named.check_measure,
        words=named.words,
        needs="the bars",
    ),
    Kind(
        name="ratio",
        about=always("measure"),
        limits=named.RatioLimits,
        check=named.check_measure,
        words=named.words,
        needs="the bars",
    ),
)
KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _KINDS})
