"""Landmarks that a person did not pick, taken from the scan where nothing is in doubt: found, not picked."""

from collections.abc import Mapping, Sequence

from hoopwright.bars import Node
from hoopwright.findings import Finding, Severity
from hoopwright.fitting.landmark_search import FoundLandmark, search_landmarks
from hoopwright.shell.shell import Shell


def with_found(
    shell: Shell, given: Mapping[str, Node], wanted: Sequence[str]
) -> tuple[dict[str, Node], tuple[Finding, ...]]:
    """Given landmarks, with those that are wanted and missing found in the scan where nothing is in doubt.

    Args:
        shell: The scan in the vehicle frame.
        given: Picked places.
        wanted: Names to look for.

    Returns:
        The places, and a finding for each that was found (`FIT-054`), is too doubtful to use (`FIT-055`) or is not
        shown (`FIT-057`).
    """
    asked = [name for name in wanted if name not in given]
    if not asked:
        return dict(given), ()
    search = search_landmarks(shell)
    found = {name: search.found[name] for name in asked if name in search.found}
    told = [_told(name, one) for name, one in found.items()]
    told += [_not_shown(name, why) for name, why in search.missing.items() if name in asked]
    sure = {name: one.place_mm for name, one in found.items() if one.sure}
    return {**given, **sure}, tuple(told)


def _told(name: str, found: FoundLandmark) -> Finding:
    at = ",".join(f"{value:.0f}" for value in found.place_mm)
    if found.sure:
        return Finding(
            code="FIT-054",
            severity=Severity.NOTE,
            sentence=f"{name} was found, not picked, at {at}: {found.why}.",
            todo="Look at it in the pictures; type it yourself "
            f"(--landmark {name}=F,L,U) if it is not where you want it.",
            objects=(name,),
            point_mm=found.place_mm,
        )
    return Finding(
        code="FIT-055",
        sentence=f"{name} is perhaps at {at} ({found.why}), but it was not used: {found.doubt}.",
        todo=f"Pick it on the left side (--landmark {name}=F,L,U).",
        objects=(name,),
        point_mm=found.place_mm,
    )


def _not_shown(name: str, why: str) -> Finding:
    return Finding(
        code="FIT-057",
        sentence=f"{name} was not found in the scan: {why}.",
        todo=f"Pick it on the left side (--landmark {name}=F,L,U).",
        objects=(name,),
    )
