"""What a scrutineer will ask for and nobody has said yet."""

from hoopwright.findings import Finding
from hoopwright.jobs.dossier.members import tube_facts
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.store import Project


def to_fill_in(source: DossierSource) -> tuple[str, ...]:
    """Members whose steel, heat number or certificate is not known."""
    return tuple(member.member_id for member in source.papers.wanted if not all(tube_facts(source, member)))


def left_open(project: Project, missing: tuple[str, ...]) -> tuple[Finding, ...]:
    """`DOSS-001` for lines of the cover, `DOSS-002` for members that `to_fill_in` names."""
    findings = []
    car = project.car
    unsaid = [
        words
        for words, value in (
            ("car", car.words),
            ("number stamped on the cage", car.cage_number),
            ("builder", car.builder),
        )
        if not value
    ]
    if unsaid:
        findings.append(
            Finding(
                code="DOSS-001",
                sentence=f"The cover has lines to write on for: {', '.join(unsaid)}.",
                todo="Write them in, or say them with 'hoopwright car' and make the file again.",
                objects=tuple(unsaid),
            )
        )
    if missing:
        findings.append(
            Finding(
                code="DOSS-002",
                sentence=f"Steel, heat number or certificate of {len(missing)} members is not on record: "
                f"{', '.join(missing)}. The table has dotted fields for them.",
                todo="Say from which tube each bar was cut with 'hoopwright bar cut-from', or write them in from the "
                "certificates.",
                objects=missing,
                measured=float(len(missing)),
                limit=0.0,
            )
        )
    return tuple(findings)
