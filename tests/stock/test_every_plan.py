"""The search against trying every plan, and what must hold of any plan."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.stock.every_plan import least_cost

from hoopwright.findings import UserError
from hoopwright.stock import CutRules, CutTask, Piece, StickOffer, plan_cuts
from hoopwright.stock.knapsack import best_filling
from hoopwright.stock.model import model_of
from hoopwright.stock.search import search

SHARE = {"buy": 2, "rack": 1, "offcut": 0}


def offers(**limits):
    return st.builds(
        StickOffer,
        length_mm=st.integers(20, 60).map(float),
        count=st.integers(1, 3) if limits.get("few") else st.none() | st.integers(1, 3),
        source=st.sampled_from(("buy", "rack", "offcut")),
        batch=st.sampled_from(("", "b1", "b2")),
    )


pieces = st.lists(
    st.tuples(st.integers(3, 40), st.sampled_from(("", "", "pair", "hoop"))), min_size=1, max_size=7
)


def task_of(rows, sticks, kerf, goal="least"):
    made = tuple(
        Piece(name=f"p{k}", length_mm=float(length), together=group) for k, (length, group) in enumerate(rows)
    )
    return CutTask(
        pieces=made,
        offers=tuple(sticks),
        rules=CutRules(kerf_mm=float(kerf), goal=goal, time_limit_s=20.0),
    )


def counted(task, offer):
    worth = 1 if task.rules.goal == "fewest" else int(offer.length_mm)
    return worth * SHARE[offer.source]


@settings(max_examples=60, deadline=None)
@given(
    rows=pieces,
    sticks=st.lists(offers(), min_size=1, max_size=3),
    kerf=st.integers(0, 4),
    goal=st.sampled_from(("least", "fewest")),
)
def test_no_plan_counts_less(rows, sticks, kerf, goal):
    task = task_of(rows, sticks, kerf, goal)
    kinds = [(int(o.length_mm), counted(task, o), o.count, o.batch) for o in sticks]
    shared = [group if len([g for _, g in rows if g == group]) > 1 else "" for _, group in rows]
    best = least_cost([length for length, _ in rows], [group or None for group in shared], kinds, kerf)
    if best is None:
        with pytest.raises(UserError) as stopped:
            plan_cuts(task)
        assert stopped.value.findings[0].code in ("CUTS-004", "CUTS-005")
        return
    plan = plan_cuts(task)
    assert plan.proven_optimal
    assert sum(counted(task, stick.offer) for stick in plan.sticks) == best
    holds(plan)


def holds(plan):
    """Every piece once, no stick too full, none used twice, groups of one batch, bound not above."""
    task, kerf = plan.task, plan.task.rules.kerf_mm
    cut = Counter((part.name, part.length_mm) for stick in plan.sticks for part in stick.parts)
    assert cut == Counter({(p.name, p.length_mm): p.count for p in task.pieces})
    for stick in plan.sticks:
        trims = 0.0 if stick.offer.source == "offcut" else 2.0 * task.rules.trim_mm
        used = stick.parts_mm + kerf * (len(stick.parts) - 1)
        assert used <= stick.offer.length_mm - trims + 1e-6
        assert stick.rest_mm == pytest.approx(max(0.0, stick.offer.length_mm - trims - used - kerf), abs=2e-3)
    for offer in task.offers:
        same = [o for o in task.offers if _alike(o, offer)]
        used = sum(_alike(stick.offer, offer) for stick in plan.sticks)
        assert any(o.count is None for o in same) or used <= sum(o.count for o in same)
    for word in {p.together for p in task.pieces} - {""}:
        names = {p.name for p in task.pieces if p.together == word}
        assert len({s.offer.batch for s in plan.sticks if names & {part.name for part in s.parts}}) == 1
    assert plan.lower_bound <= plan.stick_count
    assert 0.0 <= plan.waste_ratio < 1.0


def _alike(one, other):
    return (one.length_mm, one.source, one.batch, one.label) == (
        other.length_mm,
        other.source,
        other.batch,
        other.label,
    )


@settings(max_examples=25, deadline=None)
@given(
    lengths=st.lists(st.floats(50.0, 5900.0), min_size=1, max_size=40),
    kerf=st.floats(0.0, 5.0),
    trim=st.floats(0.0, 40.0),
    repeats=st.integers(1, 4),
)
def test_any_lengths(lengths, kerf, trim, repeats):
    rows = tuple(Piece(name=f"p{k}", length_mm=length, count=repeats) for k, length in enumerate(lengths))
    offer = StickOffer(length_mm=6000.0)
    task = CutTask(pieces=rows, offers=(offer,), rules=CutRules(kerf_mm=kerf, trim_mm=trim, time_limit_s=2.0))
    plan = plan_cuts(task)
    holds(plan)
    volume = sum(p.count * (p.length_mm + kerf) for p in rows) / (6000.0 - 2.0 * trim + kerf)
    assert plan.lower_bound >= volume - 1e-6


@settings(max_examples=80, deadline=None)
@given(
    items=st.lists(
        st.tuples(st.integers(1, 30), st.integers(0, 50), st.integers(0, 4)), min_size=1, max_size=5
    ),
    capacity=st.integers(1, 90),
    above=st.integers(0, 60),
)
def test_the_stick_worth_most(items, capacity, above):
    sizes, worths, most = (list(column) for column in zip(*items, strict=True))
    table = {0: 0}
    for size, worth, count in items:
        for _ in range(count):
            for used, value in sorted(table.items(), reverse=True):
                if used + size <= capacity:
                    table[used + size] = max(table.get(used + size, -1), value + worth)
    best = max(table.values())
    found = best_filling(sizes, worths, most, capacity, above=above)
    if best <= above:
        assert found is None
        return
    assert found is not None
    worth, counts = found
    assert worth == best == sum(n * value for n, value in zip(counts, worths, strict=True))
    assert sum(n * size for n, size in zip(counts, sizes, strict=True)) <= capacity
    assert all(n <= count for n, count in zip(counts, most, strict=True))


def test_the_bound_is_proven_without_a_plan():
    """Three sticks of 10 for four pieces of 6: it is proven that they do not suffice."""
    task = task_of([(6, "")] * 4, [StickOffer(length_mm=10.0, count=3)], 0)
    outcome = search(model_of(task), 5.0)
    assert outcome.best is None
    assert outcome.none_there


def test_same_answer_twice():
    rows = [(length, "") for length in (17, 9, 23, 11, 8, 14, 21, 9, 30, 12, 5, 19, 26, 7, 13)]
    sticks = [StickOffer(length_mm=60.0), StickOffer(length_mm=33.0, count=2, source="offcut", batch="b1")]
    first, again = (plan_cuts(task_of(rows, sticks, 1)) for _ in range(2))
    assert first == again
