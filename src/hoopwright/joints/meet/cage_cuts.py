"""The cut of every end of a cage that lands on a bar."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from hoopwright.bars import check_shape
from hoopwright.cage import Cage, EndLetter, bars_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.joints.meet.assembly_order import assembly_order
from hoopwright.joints.meet.bar_cut import BarCut, bar_cut
from hoopwright.joints.meet.cage_findings import bar_findings, cage_findings, refuse_wishes
from hoopwright.joints.meet.cut_one import cut_end, header_of, joint_name, straight_datum
from hoopwright.joints.meet.datum import TubeDatum, bend_datum
from hoopwright.joints.meet.end_cut import EndCut
from hoopwright.joints.meet.end_findings import end_findings
from hoopwright.joints.meet.marked_tube import MarkedTube, drawn_tube
from hoopwright.joints.meet.met_bars import MetBars, all_met_bars
from hoopwright.joints.meet.solid_tube import SolidTube
from hoopwright.joints.meet.wishes import CutWishes, check_gaps
from hoopwright.joints.wrap import Wrap


@dataclass(frozen=True, kw_only=True, eq=False)
class CageCuts:
    """Every cut of a cage.

    Args:
        cage: The cage that was cut, with the bars that exist in place.
        order: Every bar in the order of assembly.
        bars: Bars with a coped end, in that order.
        uncut: Names of joints that could not be cut; `findings` says why.
        findings: Of all bars together, and of joints that could not be cut; each end has its own besides.
    """

    cage: Cage
    order: tuple[str, ...]
    bars: tuple[BarCut, ...]
    uncut: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def ends(self) -> tuple[EndCut, ...]:
        """Every coped end, in the order in which the copes are made."""
        return tuple(cut for bar in self.bars for cut in bar.ends)

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Those of the ends and those of all bars together."""
        return (*(found for cut in self.ends for found in cut.findings), *self.findings)

    def bar(self, bar_id: str) -> BarCut | None:
        """A bar with a coped end; None where it has none that could be cut."""
        return next((bar for bar in self.bars if bar.bar_id == bar_id), None)

    def uncut_of(self, bar_id: str) -> frozenset[str]:
        """Joints of a bar's ends that could not be cut."""
        ends = tuple(f"/{bar_id}-{letter}" for letter in ("A", "B"))
        return frozenset(name for name in self.uncut if name.endswith(ends))


def ends_of(
    cage: Cage,
    wishes: CutWishes | None = None,
    tubes: Mapping[str, MarkedTube] = MappingProxyType({}),
    *,
    only: Sequence[str] = (),
) -> CageCuts:
    """The cut of every end of a cage that lands on a bar.

    Which tube runs through follows from the nodes: an end is cut to the bar that it lands on, and to bars that it would
    run into and that run past there or come before it in the order of assembly.

    Args:
        cage: The cage, with the bars that exist in place of the drawn ones.
        wishes: How copes are wanted.
        tubes: Tubes as marked, by bar; reckoned along the axis for bars that are not there.
        only: Only the ends of these bars are cut; all without.

    Raises:
        UserError: `CAGE-001` for a bar of `only` that is not there; `JOINT-012`, `JOINT-014` for wishes that cannot be.
    """
    wishes = wishes or CutWishes()
    for name in only:
        cage.member(name)
    gaps = check_gaps(wishes)
    bars = bars_of(cage)
    broken = {name: found for name, bar in bars.items() if (found := stopping(check_shape(bar)))}
    solids = {name: SolidTube(bar) for name, bar in bars.items() if name not in broken}
    whole = _without(cage, broken)
    order = assembly_order(whole, wishes.order)
    met = all_met_bars(whole, solids, order)
    refuse_wishes(cage, wishes, [joint_name(one.main, one.bar_id, one.end) for one in met], solids)
    cuts: list[BarCut] = []
    failed: list[Finding] = [found for each in broken.values() for found in each]
    uncut: list[str] = []
    number = 0
    for name in order:
        mine = [one for one in met if one.bar_id == name]
        if not mine:
            continue
        numbers = {one.end: number + place for place, one in enumerate(mine, start=1)}
        number += len(mine)
        if only and name not in only:
            continue
        made = _cut_bar(cage, solids, mine, tubes, wishes, numbers, failed, uncut)
        cuts.append(made)
    ends = [cut for bar in cuts for cut in bar.ends]
    asked = {*only, *(cut.name for cut in ends)}
    together = cage_findings(whole, solids, order, met, ends)
    concerned = [one for one in together if not only or not asked.isdisjoint(one.objects)]
    return CageCuts(
        cage=cage,
        order=order,
        bars=tuple(cuts),
        uncut=tuple(uncut),
        findings=(*gaps, *failed, *concerned),
    )


def wraps_of(cuts: CageCuts) -> tuple[Wrap, ...]:
    """The wrap of every coped end, in the order in which the copes are made."""
    return tuple(cut.wrap for cut in cuts.ends)


def _without(cage: Cage, broken: Mapping[str, object]) -> Cage:
    """The cage without bars that cannot be."""
    return replace(cage, members=tuple(member for member in cage.members if member.member_id not in broken))


def _cut_bar(
    cage: Cage,
    solids: Mapping[str, SolidTube],
    met: Sequence[MetBars],
    tubes: Mapping[str, MarkedTube],
    wishes: CutWishes,
    numbers: Mapping[EndLetter, int],
    failed: list[Finding],
    uncut: list[str],
) -> BarCut:
    """One bar with its ends; what could not be cut goes to `failed` and `uncut`."""
    name = met[0].bar_id
    solid, member = solids[name], cage.member(name)
    tube = tubes.get(name) or drawn_tube(
        solid.path, trim_a_mm=member.end_a.trim_mm, trim_b_mm=member.end_b.trim_mm
    )
    datum = _datum(solid, met, solids, wishes)
    ends = []
    for one in met:
        names = (one.main, *one.further)
        headers = [header_of(solids[on], wishes, is_main=on == one.main) for on in names]
        try:
            cut = cut_end(solid, one, headers, datum, tube, wishes, number=numbers[one.end])
        except UserError as error:
            joint = joint_name(one.main, one.bar_id, one.end)
            uncut.append(joint)
            failed += [
                replace(found, severity=Severity.WARNING, objects=(*found.objects, joint))
                for found in error.findings
            ]
            continue
        ends.append(replace(cut, findings=(*cut.findings, *end_findings(cut, one, solids, tube))))
    made = bar_cut(solid, datum, tube, tuple(ends))
    failed += bar_findings(made)
    return made


def _datum(
    solid: SolidTube, met: Sequence[MetBars], solids: Mapping[str, SolidTube], wishes: CutWishes
) -> TubeDatum:
    bent = bend_datum(solid.bar)
    if bent is not None:
        return bent
    return straight_datum(solid, [(one.end, header_of(solids[one.main], wishes)) for one in met])
