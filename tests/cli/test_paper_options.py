"""Size, unit and day of papers as people type them."""

import datetime as dt

import pytest

from hoopwright.cli.paper_options import day_of, paper_of, unit_of
from hoopwright.findings import UserError


@pytest.mark.parametrize(("typed", "means"), [("a4", "A4"), (" Letter ", "letter"), ("A4", "A4")])
def test_a_paper_is_known_however_it_is_cased(typed, means):
    assert paper_of(typed) == means


@pytest.mark.parametrize(("typed", "means"), [("MM", "mm"), ("in", "in")])
def test_a_unit_is_known_however_it_is_cased(typed, means):
    assert unit_of(typed) == means


def test_a_day_is_that_typed_or_today():
    assert day_of("2026-03-14") == "2026-03-14"
    before = dt.date.today().isoformat()
    assert before <= day_of(None) <= dt.date.today().isoformat()


@pytest.mark.parametrize(
    ("read", "typed"), [(paper_of, "A3"), (unit_of, "cm"), (day_of, "soon"), (paper_of, "")]
)
def test_anything_else_is_refused_with_what_there_is(read, typed):
    with pytest.raises(UserError) as stopped:
        read(typed)
    assert stopped.value.findings[0].code == "TYPED-001"


@pytest.mark.parametrize(
    "words",
    [("quote", "{project}"), ("sheets", "{project}"), ("dossier", "{project}"), ("papers", "{project}")],
)
def test_every_command_refuses_another_paper(hoopwright, project, words):
    named = [word.format(project=project) for word in words]
    option = "--size" if words[0] == "papers" else "--paper"
    assert hoopwright.stops(*named, option, "A3") == ["TYPED-001"]
