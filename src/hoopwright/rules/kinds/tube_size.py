"""Tube size: one of a list of sizes, by weight of the car, steel and how the tube was made.

A tube takes a size of the list when its diameter and its wall are both at least those of the size. The list is one of
alternatives: 1.75 x .095 in is smaller than 45 x 2.5 mm and yet in order where the book prints both.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import BarFacts, Process
from hoopwright.rules.kinds.limits import Limits, meets
from hoopwright.rules.kinds.outcome import Outcome, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import BookKeys, Length, Mass, Text, Texts, Tube, as_list
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_INCH

_NEAR_OD, _NEAR_WALL = 0.025, 0.05
_EIGHTH_MM = MM_PER_INCH / 8.0


def _as_table(value: Any) -> Any:
    return value if isinstance(value, dict) else {"tube": value}


class Size(BookKeys):
    """One size of a list, for some steels or ways of making only where they are named."""

    tube: Tube
    steel: Texts = ()
    process: Annotated[tuple[Process, ...], BeforeValidator(as_list)] = ()


def _as_list(value: Any) -> Any:
    """A list of sizes, also from one size; `[45, 2.5]` is one."""
    is_one = not isinstance(value, list) or (
        len(value) == 2 and not any(isinstance(v, list | dict | str) for v in value)
    )
    return [value] if is_one else value


Sizes = Annotated[tuple[Annotated[Size, BeforeValidator(_as_table)], ...], BeforeValidator(_as_list)]


class Band(BookKeys):
    """The sizes for cars up to a weight."""

    most_kg: Mass | None = Field(None, alias="most")
    below_kg: Mass | None = Field(None, alias="below")
    sizes: Sizes
    note: Text = ""

    def holds(self, weight_kg: float) -> bool:
        """Whether a car of that weight is in this band or a lighter one."""
        in_most = self.most_kg is None or meets(weight_kg, self.most_kg, "most")
        return in_most and (self.below_kg is None or meets(weight_kg, self.below_kg, "most", strict=True))

    def ends_at(self, weight_kg: float | None) -> bool:
        """Whether a car of that weight is at the edge of this band."""
        return weight_kg is not None and self.most_kg is not None and meets(weight_kg, self.most_kg, "least")


class Relax(BookKeys):
    """A thinner wall for tubes that are larger by so much than the smallest diameter of the list."""

    od_over_mm: Length = Field(alias="od_over")
    wall_mm: Length = Field(alias="wall")


class TubeSizeLimits(Limits):
    """Keys of a tube size rule."""

    sizes: Sizes = ()
    also: Sizes = ()
    bands: tuple[Band, ...] = ()
    relax: Relax | None = None
    od_under_mm: Length = Field(0.0, alias="od_under")
    wall_under_mm: Length = Field(0.0, alias="wall_under")

    @model_validator(mode="after")
    def _has_sizes(self) -> Self:
        if bool(self.sizes) is bool(self.bands):
            msg = "type sizes = [...] or bands = [...], and one of them only"
            raise ValueError(msg)
        edges = [band.most_kg if band.most_kg is not None else band.below_kg for band in self.bands]
        closed = [edge for edge in edges if edge is not None]
        if None in edges[:-1] or closed != sorted(set(closed)):
            msg = "the bands need most or below, each once and in rising order; only the last may be open"
            raise ValueError(msg)
        return self


def words(limits: TubeSizeLimits, show: Show) -> str:
    """The requirement in words."""
    if limits.sizes:
        return f"tube at least {_listed((*limits.sizes, *limits.also), show)}"
    bands = [f"{_edge(band, show)}: {_listed(band.sizes, show)}" for band in limits.bands]
    return "tube at least, by weight of the car: " + "; ".join(bands)


def _edge(band: Band, show: Show) -> str:
    if band.most_kg is not None:
        return f"to {show.typed(band.most_kg, 'kg')}"
    return "above" if band.below_kg is None else f"under {show.typed(band.below_kg, 'kg')}"


def check(limits: TubeSizeLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold one bar against the sizes of the list."""
    if bar.tube is None:
        yield not_checked(bar.bar_id, "give the size of its tube", place_mm=bar.place_mm)
        return
    sizes, note, at_edge = (*limits.sizes, *limits.also), "", False
    if limits.bands:
        band = _band(limits, scope)
        if band is None:
            yield not_checked(bar.bar_id, _weight_wanted(limits, scope), place_mm=bar.place_mm)
            return
        sizes, note, at_edge = band.sizes, band.note, bool(band.note) and band.ends_at(scope.weight_kg)
    outcome = _held(limits, sizes, note, bar, bar.tube, scope.show)
    yield replace(outcome, is_advisory=at_edge)


def _band(limits: TubeSizeLimits, scope: Scope) -> Band | None:
    weight_kg = scope.weight_kg
    if weight_kg is None:
        return None
    return next((band for band in limits.bands if band.holds(weight_kg)), None)


def _weight_wanted(limits: TubeSizeLimits, scope: Scope) -> str:
    if scope.weight_kg is not None:
        return f"the list ends below {scope.show.typed(scope.weight_kg, 'kg')}: ask the body"
    basis = "" if scope.basis is None else f" ({scope.basis.value})"
    return f"give the weight of the car{basis}"


def _held(
    limits: TubeSizeLimits, sizes: tuple[Size, ...], note: str, bar: BarFacts, tube: TubeSize, show: Show
) -> Outcome:
    taken = [size for size in sizes if _large_enough(limits, size.tube, bar, tube)]
    told = [(size, _of_that_steel(size, bar)) for size in taken]
    through = next((size for size, of_it in told if of_it), None)
    relaxed = through is None and _relaxed(limits, sizes, bar, tube)
    unknown = [size for size, of_it in told if of_it is None]
    verdict, todo = Verdict.FAIL, f"Take {_listed(sizes, show)} or more."
    if through is not None or relaxed:
        verdict, todo = Verdict.PASS, ""
    elif unknown:
        verdict, todo = (
            Verdict.NOT_CHECKED,
            f"say the steel and how the tube was made: {_listed(unknown, show)} asks for it",
        )
    else:
        todo += _inch_words(sizes, tube)
    how = "nominal diameter and wall"
    if bar.wall_measured_mm is not None:
        how += f", wall measured {show.length(bar.wall_measured_mm)}"
    notes = [note, "in order by the relaxation for larger tubes" if relaxed else ""]
    return Outcome(
        about=bar.bar_id,
        verdict=verdict,
        measured_words=show.tube(tube),
        limit_words=_listed(sizes, show) if through is None else _listed([through], show),
        how=how,
        todo=todo,
        note="; ".join(one for one in notes if one),
        place_mm=bar.place_mm,
    )


def _large_enough(limits: TubeSizeLimits, size: TubeSize, bar: BarFacts, tube: TubeSize) -> bool:
    """Nominal sizes decide; a measured one decides too where the book says how far it may be under."""
    pairs = [(tube.od_mm, size.od_mm), (tube.wall_mm, size.wall_mm)]
    if limits.od_under_mm and bar.od_measured_mm is not None:
        pairs.append((bar.od_measured_mm, size.od_mm - limits.od_under_mm))
    if limits.wall_under_mm and bar.wall_measured_mm is not None:
        pairs.append((bar.wall_measured_mm, size.wall_mm - limits.wall_under_mm))
    return all(meets(value, limit, "least") for value, limit in pairs)


def _relaxed(limits: TubeSizeLimits, sizes: tuple[Size, ...], bar: BarFacts, tube: TubeSize) -> bool:
    if limits.relax is None:
        return False
    smallest = min(size.tube.od_mm for size in sizes)
    wanted = TubeSize(od_mm=smallest + limits.relax.od_over_mm, wall_mm=limits.relax.wall_mm)
    return _large_enough(limits, wanted, bar, tube)


def _of_that_steel(size: Size, bar: BarFacts) -> bool | None:
    """Whether the bar is of the steel and the make that a size is for; None where that is not known."""
    process = bar.certificate.process if bar.certificate is not None else None
    answers: list[bool | None] = []
    if size.steel:
        answers.append(any(same_steel(bar.steel, name) for name in size.steel) if bar.steel else None)
    if size.process:
        answers.append(process in size.process if process is not None else None)
    return False if False in answers else None if None in answers else True


def same_steel(typed: str, name: str) -> bool:
    """Whether the name of a steel stands in what was typed, spaces and signs aside.

    `4130` is in `AISI4130N`; `T45` is not in `St45`, nor `E35` in `E355`.
    """
    runs = re.findall(r"[a-z]+|[0-9]+", name.lower())
    if not runs:
        return False
    before, after = (r"[0-9]" if run.isdigit() else r"[a-z]" for run in (runs[0], runs[-1]))
    pattern = rf"(?<!{before}){'[^a-z0-9]*'.join(runs)}(?!{after})"
    return re.search(pattern, typed.lower()) is not None


def _inch_words(sizes: tuple[Size, ...], tube: TubeSize) -> str:
    """Tells of a common inch tube that is a little under a metric size of the list."""
    is_inch = abs(tube.od_mm / _EIGHTH_MM - round(tube.od_mm / _EIGHTH_MM)) < 1e-6
    near = [
        size
        for size in sizes
        if abs(tube.od_mm / size.tube.od_mm - 1.0) <= _NEAR_OD
        and abs(tube.wall_mm / size.tube.wall_mm - 1.0) <= _NEAR_WALL
    ]
    if not is_inch or not near:
        return ""
    inches = Show(unit="in").tube(tube)
    return f" {inches} is the inch size next to {near[0].tube} mm: ask the body whether it takes it."


def _listed(sizes: Any, show: Show) -> str:
    return one_of(_size_words(size, show) for size in sizes)


def _size_words(size: Size, show: Show) -> str:
    of = [*size.steel, *(process.value for process in size.process)]
    return show.tube(size.tube) + (f" ({one_of(of)})" if of else "")
