"""A bar of a project and its mirror: how their sides differ, and what to do about it."""

from dataclasses import dataclass, replace

from hoopwright.bars import check_shape
from hoopwright.cage import Cage, Member, bar_of, free_from_mirror, padded_bodies, replace_member
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.fitting.end_places import EndPlace
from hoopwright.fitting.other_side import measure_both_sides, offer_for_side
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.fitting.side_pair import BothSides, MirroredPair, SideChoice, SideOffer
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.going_along import holes_along, loosened, taken_along_freed
from hoopwright.jobs.shells import open_shell
from hoopwright.jobs.shop_at_hand import clamp_for, shop_for_clamps
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder

_WORTH_SAYING_MM = 1.0


@dataclass(frozen=True, eq=False, kw_only=True)
class OtherSideReport:
    """A bar and its mirror on their own sides.

    Args:
        pair: Both bars as they were, and what they must keep.
        now: Their gaps as they were.
        offers: What can be done, with the gaps reached.
        taken: The choice that is in the project now, or None.
        findings: What a person should know.
    """

    pair: MirroredPair
    now: BothSides
    offers: tuple[SideOffer, ...]
    taken: SideChoice | None
    findings: tuple[Finding, ...]


def other_side(
    folder: ProjectFolder, bar_id: str, take: SideChoice | None = None, *, progress: Progress = silent
) -> OtherSideReport:
    """Measure a bar and its mirror on their own sides; with `take`, change the project as that choice says.

    Bars are measured with the finished radius of their calibration where one is kept, else as drawn.

    Args:
        folder: The project.
        bar_id: Either bar of the pair.
        take: What to do; None tells what each choice would come to and changes nothing.
        progress: Told how far it is; what it raises stops the job with nothing changed.

    Raises:
        UserError: `FIT-040` without a pair, `FIT-041` when the taken choice cannot be, `FIT-044` when
            it would hold less than now, `SCAN-014`, `CAGE-...`.
    """
    opened = folder.open()
    cage = opened.project.cage
    other_id = _mirror_id(cage, bar_id)
    pair = _pair(as_bent(folder, cage), other_id)
    shell = open_shell(folder, opened.project, progress=progress)
    now = measure_both_sides(shell, pair)
    choices = tuple(SideChoice) if take is None else (take,)
    offers = []
    for number, choice in enumerate(choices):
        progress(f"trying to {choice.value}", number / len(choices))
        offers.append(offer_for_side(shell, pair, choice))
    refusals = tuple(offer.refused for offer in offers if offer.refused is not None)
    findings = (*_differs(pair, now), *refusals)
    if take is not None:
        _check_possible(offers[0])
        changed, along = taken_along_freed(cage, _changed(cage, other_id, offers[0]))
        changed, holes = holes_along(cage, changed)
        folder.save(opened, replace(opened.project, cage=changed))
        changed_id = pair.source.name if take is SideChoice.KEEP else other_id
        findings = (*offers[0].findings, *along, *holes, *loosened(changed, changed_id))
    progress("measured", 1.0)
    return OtherSideReport(pair=pair, now=now, offers=tuple(offers), taken=take, findings=findings)


def _mirror_id(cage: Cage, bar_id: str) -> str:
    """The mirrored bar of the pair that a bar belongs to."""
    if cage.member(bar_id).mirror_of is not None:
        return bar_id
    for member in cage.members:
        if member.mirror_of == bar_id:
            return member.member_id
    raise UserError(
        Finding(
            code="FIT-040",
            severity=Severity.STOP,
            sentence=f"Bar '{bar_id}' mirrors no other bar, and none mirrors it.",
            todo=f"Add its mirror with 'hoopwright bar mirror', or fit '{bar_id}' by itself.",
            objects=(bar_id,),
        )
    )


def _pair(cage: Cage, other_id: str) -> MirroredPair:
    other = cage.member(other_id)
    assert other.mirror_of is not None  # noqa: S101 - chosen by it
    source = cage.member(other.mirror_of)
    bars = [bar_of(cage, member.member_id) for member in (source, other)]
    places = [_places(cage, member) for member in (source, other)]
    known = [*bars, *(place.header for pair in places for place in pair if place.header is not None)]
    stops = [finding for bar in known for finding in stopping(check_shape(bar))]
    if stops:
        raise UserError(*stops)
    return MirroredPair(
        source=bars[0],
        other=bars[1],
        places=places[0],
        other_places=places[1],
        landings_mm=(source.end_a.landing_mm, source.end_b.landing_mm),
        gap_mm=cage.limits.gap_mm,
        clamp_mm=clamp_for(cage.limits, source, shop_for_clamps(cage.limits)),
        keep_clear=padded_bodies(cage.drivers),
    )


def _places(cage: Cage, member: Member) -> tuple[EndPlace, EndPlace]:
    on_a, on_b = (
        EndPlace(
            header=bar_of(cage, end.on) if end.kind == "bar" and end.on is not None else None,
            on_shell=end.kind == "shell",
        )
        for end in (member.end_a, member.end_b)
    )
    return on_a, on_b


def _changed(cage: Cage, other_id: str, offer: SideOffer) -> Cage:
    if offer.choice is SideChoice.KEEP:
        source = cage.member(offer.source.name)
        return replace_member(cage, replace(source, nodes_mm=offer.source.nodes_mm, fit=None))
    freed = free_from_mirror(cage, other_id)
    return replace_member(freed, replace(freed.member(other_id), nodes_mm=offer.other.nodes_mm, fit=None))


def _check_possible(offer: SideOffer) -> None:
    """A choice that would hold less than now, or give bars that cannot be, changes nothing."""
    if offer.refused is not None:
        raise UserError(replace(offer.refused, severity=Severity.STOP))
    if offer.impossible:
        stop = Finding(
            code="FIT-041",
            severity=Severity.STOP,
            sentence=f"'{offer.choice.value}' comes to no {offer.other.name} that can be, so nothing was changed.",
            todo="Take another choice, or fit the bar anew with 'hoopwright fit'.",
            objects=(offer.source.name, offer.other.name),
        )
        raise UserError(stop, *offer.impossible)


def _differs(pair: MirroredPair, now: BothSides) -> tuple[Finding, ...]:
    """Where the mirrored bar's metal is nearer than its source's and nearer than the gap asked."""
    return tuple(
        Finding(
            code="FIT-043",
            sentence=f"{one.region}: {one.closer_mm:.1f} mm closer to {pair.other.name} than to {pair.source.name} on "
            f"the other side, which leaves {one.gap_mm:.1f} mm of the {pair.gap_mm:g} mm asked.",
            todo="Shift it (--shift), fit it again (--refit), or keep both as one (--keep).",
            objects=(pair.other.name, one.region),
            point_mm=one.axis_mm,
            measured=one.gap_mm,
            limit=pair.gap_mm,
            unit="mm",
        )
        for one in now.regions
        if one.closer_mm is not None
        and one.closer_mm >= _WORTH_SAYING_MM
        and one.gap_mm < pair.gap_mm - HELD_WITHIN_MM
    )
