"""Facts kept with what they were taken from: an answer or a rule turned on takes none anew, a leg only its bar's."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from hoopwright.bender import TubeBatch
from hoopwright.cage import Cage, EndLetter
from hoopwright.findings import Finding
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts import facts_of
from hoopwright.jobs.rule_facts.bars import with_legs
from hoopwright.jobs.rule_facts.certificates import batches_used
from hoopwright.jobs.rule_facts.scene import scene_of
from hoopwright.progress import Progress, silent
from hoopwright.rules.facts import Facts
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.schema import to_json


@dataclass(frozen=True, kw_only=True)
class MadeOf:
    """All that facts hang on: facts of what is equal are the same.

    Args:
        project: The project as it is written, without what only says which book counts and how its rules end, and
            without legs.
        drawn: Its cage with the finished radii of calibrations, of the project and of the shop, without legs.
        legs: How the leg of each bar is marked: its length along the bar, and the end that it is counted from. Only
            the bends of that bar hang on it.
        batches: What the shop says of the batches that were used.
        fits_plates: Whether plates were fitted to the scan.
        measures_cabin: Whether hoops were measured against the inside of the scan.
    """

    project: bytes
    drawn: Cage
    legs: Mapping[str, tuple[float | None, EndLetter]]
    batches: Mapping[str, TubeBatch]
    fits_plates: bool
    measures_cabin: bool


@dataclass(frozen=True, eq=False, kw_only=True)
class TakenFacts:
    """Facts, and what to know of them.

    Args:
        facts: What is known.
        findings: What a person should know of it.
        made_of: What they hang on.
    """

    facts: Facts
    findings: tuple[Finding, ...]
    made_of: MadeOf


def take_facts(
    folder: ProjectFolder,
    project: Project,
    *,
    before: TakenFacts | None = None,
    whole: Shell | None = None,
    landed: tuple[LandedFoot, ...] | None = None,
    fits_plates: bool = True,
    measures_cabin: bool = True,
    progress: Progress = silent,
) -> TakenFacts:
    """What is known of a project: as it was taken before where nothing that it hangs on has changed, else anew.

    Where only legs were marked otherwise since, the bends of those bars are told anew and nothing is measured.

    Args:
        folder: The project's folder.
        project: The project.
        before: Facts that were taken before, of this project or any other state of it.
        whole: Its shell without holes, where that is open already.
        landed: All feet with their landings, where those were fitted already.
        fits_plates: As `facts_of` has it.
        measures_cabin: As `facts_of` has it.
        progress: Told how far it is.

    Raises:
        UserError: As `facts_of`.
    """
    made_of = _made_of(folder, project, fits_plates=fits_plates, measures_cabin=measures_cabin)
    if before is not None and before.made_of == made_of:
        return before
    if before is not None and replace(before.made_of, legs=made_of.legs) == made_of:
        return _marked(folder, project, before, made_of)
    facts, findings = facts_of(
        folder,
        project,
        whole=whole,
        landed=landed,
        fits_plates=fits_plates,
        measures_cabin=measures_cabin,
        progress=progress,
    )
    return TakenFacts(facts=facts, findings=findings, made_of=made_of)


def _marked(folder: ProjectFolder, project: Project, before: TakenFacts, made_of: MadeOf) -> TakenFacts:
    """Facts of before with the legs of now."""
    facts, legs = before.facts, before.made_of.legs
    marked = {name for name, leg in made_of.legs.items() if leg != legs.get(name)}
    if facts.bars is not None:
        bars = with_legs(scene_of(folder, project), facts.bars, marked)
        facts = replace(facts, bars=bars)
    return replace(before, facts=facts, made_of=made_of)


def _without_legs(cage: Cage) -> Cage:
    return replace(cage, members=tuple(replace(member, leg_mm=None, leg_from="A") for member in cage.members))


def _made_of(folder: ProjectFolder, project: Project, *, fits_plates: bool, measures_cabin: bool) -> MadeOf:
    cage = _without_legs(project.cage)
    bare = replace(project, cage=cage, book=None, answers=(), photos=(), log_lines=())
    return MadeOf(
        project=to_json(bare, 0),
        drawn=as_bent(folder, cage),
        legs={member.member_id: (member.leg_mm, member.leg_from) for member in project.cage.members},
        batches=batches_used(project),
        fits_plates=fits_plates,
        measures_cabin=measures_cabin,
    )
