"""What facts are taken from: the cage as it exists, its centrelines, its ends, and what was measured by hand."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline, check_shape
from hoopwright.cage import Cage, EndLetter, EndMeeting, Member, Role, bars_of, end_meetings
from hoopwright.findings import Finding, stopping
from hoopwright.geometry import FilletedPath, Points
from hoopwright.jobs.bent_cage import cage_that_exists
from hoopwright.jobs.calibrations import as_bent
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.build_records import HandMeasure

SPACING_MM = 2.0
_LEVEL_MM = 1e-3


@dataclass(frozen=True, eq=False, kw_only=True)
class Scene:
    """A project as facts are taken from it.

    Args:
        project: The project.
        cage: With bars as bent in the place of the drawn ones, and finished radii.
        bars: Bars that can be bent, by name; others have no centreline.
        paths: Their centrelines.
        meetings: Ends that land on a bar, of bars that can be bent.
        by_hand: What counts of the numbers measured by hand, by place, name and bend.
        findings: What is to be known of bars as bent.
    """

    project: Project
    cage: Cage
    bars: Mapping[str, Bar]
    paths: Mapping[str, FilletedPath]
    meetings: tuple[EndMeeting, ...]
    by_hand: Mapping[tuple[str, str, int], HandMeasure]
    findings: tuple[Finding, ...] = ()

    def of_role(self, *roles: Role) -> tuple[Member, ...]:
        """Members of some roles that can be bent, in the cage's order."""
        return tuple(one for one in self.cage.members if one.role in roles and one.member_id in self.bars)

    def role(self, bar_id: str) -> Role:
        """What a bar is."""
        return self.cage.member(bar_id).role

    def measured(self, about: str, name: str, bend: int = 0) -> float | None:
        """A number measured by hand."""
        found = self.by_hand.get((about, name, bend))
        return None if found is None else found.measured

    def joints_on(self, bar_id: str) -> tuple[EndMeeting, ...]:
        """Ends of other bars that land on a bar and meet it."""
        return tuple(one for one in self.meetings if one.on == bar_id and one.meets)

    def along(self, bar_id: str, place_mm: Node) -> float:
        """Distance along a bar from end A to the place on its axis nearest to a point, mm."""
        return self.paths[bar_id].nearest_mm(place_mm)

    def feet(self, bar_id: str) -> tuple[tuple[EndLetter, Node, float], ...]:
        """Ends of a bar that stand on the shell: which, where, and how far along."""
        member, nodes = self.cage.member(bar_id), self.bars[bar_id].nodes_mm
        ends = (
            ("A", member.end_a, nodes[0], 0.0),
            ("B", member.end_b, nodes[-1], self.paths[bar_id].length_mm),
        )
        return tuple((cast("EndLetter", letter), at, s) for letter, end, at, s in ends if end.kind == "shell")

    def top(self, bar_id: str) -> float:
        """Height of the highest place of a bar's axis, mm up."""
        return float(self.points(bar_id)[:, 2].max())

    def points(self, bar_id: str) -> Points:
        """Places along a bar's axis with its ends and nodes' arcs, shape (n, 3)."""
        path = self.paths[bar_id]
        even = path.even_distances(SPACING_MM)
        return path.at(np.union1d(even, np.array(path.starts_mm)))

    def to_top_mm(self, bar_id: str, along_mm: float) -> float:
        """How far it is along a bar from a place on it to the nearest of its highest places."""
        path = self.paths[bar_id]
        places = np.union1d(path.even_distances(SPACING_MM), np.array(path.starts_mm))
        ups = path.at(places)[:, 2]
        return float(np.abs(places[ups >= ups.max() - _LEVEL_MM] - along_mm).min())

    def middle(self, bar_id: str) -> Node:
        """The middle of a bar, to point at."""
        path = self.paths[bar_id]
        return as_node(path.at(path.length_mm / 2.0)[0])


def scene_of(folder: ProjectFolder, project: Project) -> Scene:
    """A project as facts are taken from it.

    Raises:
        UserError: `CAL-...` for calibrations that cannot be read.
    """
    existing = cage_that_exists(project, as_bent(folder, project.cage))
    cage = existing.cage
    bars = {name: bar for name, bar in bars_of(cage).items() if not stopping(check_shape(bar))}
    return Scene(
        project=project,
        cage=cage,
        bars=bars,
        paths={name: centreline(bar) for name, bar in bars.items()},
        meetings=_meetings(cage, bars),
        by_hand={(one.about, one.name, one.bend): one for one in project.measures_in_force},
        findings=existing.findings,
    )


def _meetings(cage: Cage, bars: Mapping[str, Bar]) -> tuple[EndMeeting, ...]:
    """Meetings of bars that can be bent; one that cannot be leaves those of the others."""
    if len(bars) == len(cage.members):
        return end_meetings(cage)
    found = []
    for member in cage.members:
        bar = bars.get(member.member_id)
        if bar is None:
            continue
        for letter, end, place in (
            ("A", member.end_a, bar.nodes_mm[0]),
            ("B", member.end_b, bar.nodes_mm[-1]),
        ):
            if end.kind == "bar" and end.on is not None and end.on in bars:
                apart = centreline(bars[end.on]).distance_to_mm(place)
                found.append(
                    EndMeeting(bar_id=bar.name, end=letter, on=end.on, apart_mm=apart, place_mm=place)
                )
    return tuple(found)
