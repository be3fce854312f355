"""The motion planner: a tree of poses from each end of the way, grown until they meet.

Method: J. Kuffner and S. LaValle, RRT-Connect, IEEE ICRA 2000, as the library OMPL has it. It ends after a number of
trials and not after a time, and its random numbers start anew for every question, so that the same question has the
same answer.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Vector
from hoopwright.shell.moving import Pose

_RANGE_SHARE = 0.05


@dataclass(frozen=True, eq=False, kw_only=True)
class Question:
    """What the planner is asked.

    Args:
        starts: Poses outside the car, one of which is to be left.
        goals: Poses near the place, one of which is to be reached.
        low_mm: Least shift of the body's middle.
        high_mm: Greatest.
        farthest_mm: From the body's middle to its farthest ball.
        is_free: Whether a pose is free.
        goes: Whether all poses between two are free.
        seed: Of the random numbers.
        trials: How often the trees are grown at most.
    """

    starts: Sequence[Pose]
    goals: Sequence[Pose]
    low_mm: Vector
    high_mm: Vector
    farthest_mm: float
    is_free: Callable[[Pose], bool]
    goes: Callable[[Pose, Pose], bool]
    seed: int
    trials: int


@dataclass(frozen=True, eq=False, kw_only=True)
class Answer:
    """What came of it.

    Args:
        poses: From a start to a goal; empty when no way was found.
        trials: How often the trees were grown.
    """

    poses: tuple[Pose, ...]
    trials: int


def need_planner() -> None:
    """Stop where the motion planner is not installed.

    Raises:
        UserError: `WAY-001`.
    """
    try:
        import ompl  # noqa: F401
    except ImportError as missing:
        raise UserError(
            Finding(
                code="WAY-001",
                severity=Severity.STOP,
                sentence="Ways into the car need the motion planner OMPL, which is not installed.",
                todo="Install Hoopwright with its extra 'motion': pip install 'hoopwright[motion]'.",
            )
        ) from missing


def plan(question: Question) -> Answer:
    """Look for a way from a start to a goal.

    Raises:
        UserError: `WAY-001` without the planner.
    """
    need_planner()
    from ompl import base, geometric, util

    # the library says on stdout that seeds were given out already; it takes the new one all the same
    util.setLogLevel(util.LOG_NONE)
    util.RNG.setSeed(question.seed)
    space = _space(base, question)
    about = base.SpaceInformation(space)
    about.setStateValidityChecker(lambda state: question.is_free(_pose(state)))
    checker = _motion_checker(base, about, question)
    about.setMotionValidator(checker)
    about.setup()
    asked = base.ProblemDefinition(about)
    for pose in question.starts:
        asked.addStartState(_state(about, pose))
    goals = base.GoalStates(about)
    for pose in question.goals:
        goals.addState(_state(about, pose))
    asked.setGoal(goals)
    planner = geometric.RRTConnect(about)
    planner.setRange(_RANGE_SHARE * space.getMaximumExtent())
    planner.setProblemDefinition(asked)
    planner.setup()
    grown = 0

    def is_over() -> bool:
        nonlocal grown
        grown += 1
        return grown > question.trials

    planner.solve(base.PlannerTerminationCondition(is_over))
    if not asked.hasExactSolution():
        return Answer(poses=(), trials=grown)
    path = asked.getSolutionPath()
    poses = tuple(_pose(path.getState(k)) for k in range(path.getStateCount()))
    return Answer(poses=poses, trials=grown)


def _space(base: Any, question: Question) -> Any:
    space = base.SE3StateSpace()
    bounds = base.RealVectorBounds(3)
    for axis in range(3):
        bounds.setLow(axis, float(question.low_mm[axis]))
        bounds.setHigh(axis, float(question.high_mm[axis]))
    space.setBounds(bounds)
    # half the angle in radians times this is about how far the farthest ball is swung
    space.setSubspaceWeight(1, question.farthest_mm)
    return space


def _motion_checker(base: Any, about: Any, question: Question) -> Any:
    class Motions(base.MotionValidator):  # type: ignore[misc]
        def checkMotion(self, start: Any, end: Any) -> bool:  # noqa: N802 - the library's name
            return question.goes(_pose(start), _pose(end))

    return Motions(about)


def _pose(state: Any) -> Pose:
    import numpy as np

    turn = state.rotation()
    return np.array([state.getX(), state.getY(), state.getZ(), turn.x, turn.y, turn.z, turn.w])


def _state(about: Any, pose: Pose) -> Any:
    state = about.allocState()
    state.setXYZ(*(float(value) for value in pose[:3]))
    turn = state.rotation()
    turn.x, turn.y, turn.z, turn.w = (float(value) for value in pose[3:])
    return state
