"""Padding: which bars near a helmet must be padded, how thick, and to which standard."""

from collections.abc import Iterator

from pydantic import Field

from hoopwright.rules.facts import BarFacts, DriverFacts, HelmetRoom
from hoopwright.rules.kinds.limits import Limits, meets
from hoopwright.rules.kinds.outcome import Outcome, by_hand, held_against, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.kinds.tube_size import same_steel as same_name
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import Length, Texts


class PaddingLimits(Limits):
    """Keys of a padding rule."""

    within_mm: Length = Field(alias="within")
    thickness_least_mm: Length | None = Field(None, alias="thickness_least")
    standard: Texts = ()


def words(limits: PaddingLimits, show: Show) -> str:
    """The requirement in words."""
    told = f"padding on bars within {show.length(limits.within_mm)} of a helmet"
    if limits.thickness_least_mm is not None:
        told += f", thickness {show.limit(limits.thickness_least_mm, 'mm', 'least')}"
    return told + (f", {one_of(limits.standard)}" if limits.standard else "")


def check(limits: PaddingLimits, driver: DriverFacts, scope: Scope) -> Iterator[Outcome]:
    """Look at every bar near one driver's helmet."""
    if driver.rooms is None or scope.facts.bars is None:
        yield not_checked(
            driver.driver_id, "give the helmet's middle and radius", place_mm=driver.helmet_place_mm
        )
        return
    bars = {bar.bar_id: bar for bar in scope.facts.bars}
    near = [room for room in driver.rooms if meets(room.room_mm, limits.within_mm, "most")]
    if not near:
        yield held_against(
            min((room.room_mm for room in driver.rooms), default=limits.within_mm + 1.0),
            limits.within_mm,
            "least",
            unit="mm",
            about=driver.driver_id,
            how="from the helmet to the nearest bar, which is further off than the zone",
        )
    for room in near:
        yield from _padded(limits, bars.get(room.bar_id), room, scope.show)


def _padded(limits: PaddingLimits, bar: BarFacts | None, room: HelmetRoom, show: Show) -> Iterator[Outcome]:
    place, how = room.place_mm, f"{show.measured(room.room_mm, 'mm')} from the helmet"
    if bar is None or bar.padding_mm is None:
        give = f"say how it is padded, 0 for not: it is {how}: {by_hand(room.bar_id, 'padding')}"
        yield not_checked(room.bar_id, give, place_mm=place)
        return
    is_padded = bar.padding_mm > 0.0
    if limits.thickness_least_mm is None or not is_padded:
        yield Outcome(
            about=room.bar_id,
            verdict=judged(is_padded),
            measured_words="padded" if is_padded else "bare",
            limit_words="padded",
            how=how,
            todo="" if is_padded else "Pad it.",
            place_mm=place,
        )
    else:
        yield held_against(
            bar.padding_mm,
            limits.thickness_least_mm,
            "least",
            unit="mm",
            about=room.bar_id,
            part="thickness",
            how=f"padding as given; {how}",
            todo="Take thicker padding.",
            place_mm=place,
        )
    if limits.standard and is_padded:
        yield _marked(limits, bar, place_words=how)


def _marked(limits: PaddingLimits, bar: BarFacts, place_words: str) -> Outcome:
    if not bar.padding_standard:
        asks = f"Which standard is the padding marked with? The book has {one_of(limits.standard)}."
        return not_checked(bar.bar_id, "", part="standard", asks=asks)
    passes = any(same_name(bar.padding_standard, name) for name in limits.standard)
    return Outcome(
        about=bar.bar_id,
        part="standard",
        verdict=judged(passes),
        measured_words=bar.padding_standard,
        limit_words=one_of(limits.standard),
        how=f"as marked; {place_words}",
        todo="" if passes else f"Take padding to {one_of(limits.standard)}.",
    )
