"""What is known of a project's car and cage, as a rule book asks for it. Derived from what exists, never guessed."""

import itertools
from collections.abc import Iterator

from hoopwright.cage import feet_of
from hoopwright.findings import Finding, UserError
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.hand_measures import places_for
from hoopwright.jobs.landings import LandedFoot, land_feet, land_on
from hoopwright.jobs.rule_facts.bars import bar_facts
from hoopwright.jobs.rule_facts.bolts import bolt_measures
from hoopwright.jobs.rule_facts.cabin import cabin_measures
from hoopwright.jobs.rule_facts.certificates import batches_used, certificate_findings
from hoopwright.jobs.rule_facts.drivers import driver_facts, driver_measures, opening_facts, opening_measures
from hoopwright.jobs.rule_facts.ends import end_measures
from hoopwright.jobs.rule_facts.feet import foot_facts, gusset_facts, may_be_feet
from hoopwright.jobs.rule_facts.holes import hole_facts, holes_unseen
from hoopwright.jobs.rule_facts.hoops import by_hand_measures, front_feet, hoop_measures, shoulder_widths
from hoopwright.jobs.rule_facts.joints import extent_of, joint_facts
from hoopwright.jobs.rule_facts.patterns import apex_gaps, patterns_of
from hoopwright.jobs.rule_facts.scene import Scene, scene_of
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.progress import Progress, silent
from hoopwright.rules.facts import Facts, Measured
from hoopwright.rules.measures import MEASURES
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

__all__ = ["facts_of"]


def facts_of(
    folder: ProjectFolder,
    project: Project,
    *,
    whole: Shell | None = None,
    landed: tuple[LandedFoot, ...] | None = None,
    fits_plates: bool = True,
    measures_cabin: bool = True,
    progress: Progress = silent,
) -> tuple[Facts, tuple[Finding, ...]]:
    """What is known of a project, and what a person should know of it.

    Bars that were bent and measured count as they are, all others with the finished radius of their calibration.
    What the project does not know stays unknown: removable joints are not modelled, inspection holes are measured.

    Args:
        folder: The project's folder.
        project: The project.
        whole: The project's shell without holes, where it is open already.
        landed: All feet with their landings, where those were fitted already.
        fits_plates: Whether plates are fitted to the scan, which takes most of the time; without, a flat plate has
            the sides that were typed, and others are not known.
        measures_cabin: Whether hoops are measured against the inside of the scan, which has to be opened for it.
        progress: Told how far it is.

    Raises:
        UserError: `CAL-...`, `SHOP-...` and `SCAN-...` for files that cannot be read.
    """
    scene = scene_of(folder, project)
    told: tuple[Finding, ...] = ()
    if whole is None and measures_cabin and project.scan is not None:
        whole = open_whole_shell(folder, project, progress=progress)
    if not fits_plates:
        landed = None
    elif landed is None:
        landed, told = _landed(folder, project, whole, progress)
    batches = batches_used(project)
    facts = Facts(
        car=project.car,
        bars=bar_facts(scene, batches) or None,
        measures=tuple(_measures(scene, landed, whole if measures_cabin else None)),
        feet=foot_facts(scene, landed) or None,
        may_be_feet=may_be_feet(scene),
        gussets=gusset_facts(scene) if scene.cage.members else None,
        joints=joint_facts(scene) if scene.bars else None,
        holes=hole_facts(scene),
        holes_unseen=holes_unseen(scene),
        drivers=driver_facts(scene),
        openings=opening_facts(scene),
        extent=extent_of(scene),
        patterns=patterns_of(scene) if scene.bars else None,
    )
    return facts, (*scene.findings, *certificate_findings(project, batches), *told)


def _landed(
    folder: ProjectFolder, project: Project, whole: Shell | None, progress: Progress
) -> tuple[tuple[LandedFoot, ...] | None, tuple[Finding, ...]]:
    """Landings as fitted to the scan; None without a scan or without landings."""
    if project.scan is None or not project.cage.landings:
        return None, ()
    try:
        if whole is None:
            report = land_feet(folder, progress=progress)
        else:
            cage = cage_to_cut(folder, project).cage
            report = land_on(cut_for_bars(whole, cage).shell, cage, feet_of(cage), progress=progress)
    except UserError as error:
        return None, error.findings
    return report.feet, ()


def _measures(scene: Scene, landed: tuple[LandedFoot, ...] | None, cabin: Shell | None) -> Iterator[Measured]:
    """What is derived, and what was measured by hand; a hand measure takes the place of one that could not be taken."""
    # what was measured at a bar that is gone is no part of the cage
    there = set(places_for(scene.cage, "any"))
    by_hand = [one for (_, name, _), one in scene.by_hand.items() if name in MEASURES and one.about in there]
    given = {(one.name, one.about) for one in by_hand}
    derived = (
        *(end_measures, hoop_measures, front_feet, shoulder_widths, driver_measures, opening_measures),
        apex_gaps,
    )
    in_cabin = () if cabin is None else tuple(cabin_measures(scene, cabin))
    left = by_hand_measures(scene, {(one.name, one.about) for one in in_cabin})
    for one in itertools.chain(
        bolt_measures(scene, landed), in_cabin, left, *(derive(scene) for derive in derived)
    ):
        if one.measured is not None or (one.name, one.about) not in given:
            yield one
    for hand in by_hand:
        bar_id = hand.about.partition(" foot ")[0]
        role = scene.role(bar_id) if bar_id in scene.cage else None
        yield Measured(name=hand.name, about=hand.about, role=role, measured=hand.measured)
