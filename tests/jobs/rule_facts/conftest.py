"""A cage of a few typed bars, and the facts that it gives to a rule book."""

import itertools
from dataclasses import replace

import pytest

from hoopwright.cage import Cage
from hoopwright.jobs.rule_facts import facts_of
from hoopwright.store import Project, ProjectFolder


@pytest.fixture
def facts(tmp_path):
    numbers = itertools.count()

    def facts(*members, project=None, samples="", told=False, **cage):
        folder = ProjectFolder(path=tmp_path / f"car{next(numbers)}")
        whole = replace(project or Project(name="car"), cage=Cage(members=members, **cage))
        folder.create(whole)
        if samples:
            (folder.calibrations / "001-samples.toml").write_text(samples, encoding="utf-8")
        return facts_of(folder, folder.open().project)[1 if told else 0]

    return facts
