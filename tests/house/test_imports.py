"""Each package is imported alone in a fresh interpreter: circles hide behind the order of imports."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "src" / "hoopwright"
PACKAGES = sorted(path.parent.name for path in ROOT.glob("*/__init__.py"))
HEAVY = ("numba", "trimesh", "reportlab", "PIL", "sqlalchemy", "scipy.optimize")
LIGHT_PACKAGES = ("findings", "units", "geometry", "tubes", "bars")


def fresh(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


@pytest.mark.parametrize("package", PACKAGES)
def test_imports_alone(package):
    ended = fresh(f"import hoopwright.{package}")
    assert ended.returncode == 0, ended.stderr


def test_what_a_package_offers_is_there():
    code = "\n".join(
        f"import hoopwright.{name} as m\nfor n in getattr(m, '__all__', ()): getattr(m, n)"
        for name in PACKAGES
    )
    ended = fresh(code)
    assert ended.returncode == 0, ended.stderr


def test_the_light_packages_bring_no_heavy_library():
    """A command that only does arithmetic must not wait for compilers and readers."""
    imports = ", ".join(f"hoopwright.{name}" for name in LIGHT_PACKAGES)
    ended = fresh(f"import sys, {imports}\nprint([n for n in {HEAVY!r} if n in sys.modules])")
    assert ended.stdout.strip() == "[]", ended.stderr


def test_a_broken_package_is_seen():
    assert fresh("import hoopwright.no_such_package").returncode != 0
