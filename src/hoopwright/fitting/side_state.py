"""What a bar and its mirror hold, and what they would hold less of."""

from dataclasses import dataclass

from hoopwright.bars import Bar
from hoopwright.findings import Finding
from hoopwright.fitting.end_places import meets, on_metal_mm
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.fitting.side_pair import MirroredPair, SideChoice, measure_one
from hoopwright.geometry.capsules import distance_to_capsules_mm
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell

_STANDS_MM = 1.0


@dataclass(frozen=True, kw_only=True)
class PairState:
    """What a pair holds.

    Args:
        gaps_mm: Least gap of each bar, the source first.
        clear_mm: Least room of each bar to the drivers.
        mean_mm: Mean gap of both.
        landed: Which ends stand on metal or meet a bar: A and B of the source, then of the other.
    """

    gaps_mm: tuple[float, float]
    clear_mm: tuple[float, float]
    mean_mm: float
    landed: tuple[bool, ...]


def state_of(shell: Shell, pair: MirroredPair, source: Bar, other: Bar) -> PairState:
    """What the pair holds with these two bars in its place."""
    measured = [measure_one(shell, bar, pair) for bar in (source, other)]
    half = source.tube.od_mm / 2.0
    landed = tuple(
        meets(bar, index, place) or (place.on_shell and on_metal_mm(shell, bar, index) <= half + _STANDS_MM)
        for bar, places in ((source, pair.places), (other, pair.other_places))
        for index, place in ((0, places[0]), (-1, places[1]))
    )
    least = [float(gaps.gap_mm[gaps.judged].min()) for gaps in measured]
    clear = [clear_to_drivers_mm(gaps, pair) for gaps in measured]
    mean = sum(float(gaps.gap_mm[gaps.judged].mean()) for gaps in measured)
    return PairState(gaps_mm=(least[0], least[1]), clear_mm=(clear[0], clear[1]), mean_mm=mean, landed=landed)


def clear_to_drivers_mm(gaps: TubeGaps, pair: MirroredPair) -> float:
    """From a bar's skin to the drivers' padded room; infinite without drivers."""
    return float(distance_to_capsules_mm(gaps.points_mm, pair.keep_clear).min()) - gaps.tube.od_mm / 2.0


def worth(pair: MirroredPair, state: PairState) -> tuple[float, float]:
    """How near a pair comes to holding gap and room, then how near the shell it lies; greater is better."""
    short = min(*state.gaps_mm, *(clear + pair.gap_mm for clear in state.clear_mm))
    return min(short, pair.gap_mm - HELD_WITHIN_MM), -state.mean_mm


def worse(
    pair: MirroredPair, choice: SideChoice, was: PairState, now: PairState, source: Bar, other: Bar
) -> Finding | None:
    """What a bar would hold less of than it did, with both numbers; None for none."""
    for index, bar in enumerate((source, other)):
        if now.gaps_mm[index] < was.gaps_mm[index] - HELD_WITHIN_MM:
            return _refusal(choice, bar.name, "gap to the shell", was.gaps_mm[index], now.gaps_mm[index])
        if now.clear_mm[index] < min(0.0, was.clear_mm[index]) - HELD_WITHIN_MM:
            return _refusal(choice, bar.name, "room to the driver", was.clear_mm[index], now.clear_mm[index])
        for letter, before, after in zip(
            "AB", was.landed[2 * index : 2 * index + 2], now.landed[2 * index : 2 * index + 2], strict=True
        ):
            if before and not after:
                return _off_its_landing(choice, bar.name, letter)
    return None


def _refusal(choice: SideChoice, name: str, what: str, was_mm: float, now_mm: float) -> Finding:
    return Finding(
        code="FIT-044",
        sentence=f"'{choice.value}' would take the {what} of {name} from {was_mm:.1f} to {now_mm:.1f} mm, so the bars "
        "stay as they are.",
        todo="Take another choice; to come nearer all the same, free the bar and fit it with 'hoopwright fit'.",
        objects=(name,),
        measured=now_mm,
        limit=was_mm,
        unit="mm",
    )


def _off_its_landing(choice: SideChoice, name: str, letter: str) -> Finding:
    return Finding(
        code="FIT-044",
        sentence=f"'{choice.value}' would take end {letter} of {name} off what it lands on, so the bars stay as they "
        "are.",
        todo="Take another choice; or free the bar and fit it with 'hoopwright fit'.",
        objects=(name,),
    )
