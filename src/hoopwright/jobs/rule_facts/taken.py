"""Facts of a project kept with what they were taken from: another answer or another rule turned on takes none anew."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from hoopwright.bender import TubeBatch
from hoopwright.cage import Cage
from hoopwright.findings import Finding
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts import facts_of
from hoopwright.jobs.rule_facts.certificates import batches_used
from hoopwright.progress import Progress, silent
from hoopwright.rules.facts import Facts
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.schema import to_json


@dataclass(frozen=True, kw_only=True)
class MadeOf:
    """All that facts hang on: facts of what is equal are the same.

    Args:
        project: The project as it is written, without what only says which book counts and how its rules end.
        drawn: Its cage with the finished radii of calibrations, of the project and of the shop.
        batches: What the shop says of the batches that were used.
        fits_plates: Whether plates were fitted to the scan.
        measures_cabin: Whether hoops were measured against the inside of the scan.
    """

    project: bytes
    drawn: Cage
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


def _made_of(folder: ProjectFolder, project: Project, *, fits_plates: bool, measures_cabin: bool) -> MadeOf:
    bare = replace(project, book=None, answers=(), photos=(), log_lines=())
    return MadeOf(
        project=to_json(bare, 0),
        drawn=as_bent(folder, project.cage),
        batches=batches_used(project),
        fits_plates=fits_plates,
        measures_cabin=measures_cabin,
    )
