"""Numbers carry their unit in their name, and nothing claims what it cannot know."""

import ast
import re
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
ROOT = PROJECT / "src" / "hoopwright"

UNITS = (
    *("mm", "mm2", "mm3", "mm4", "cm3", "m", "m2", "deg", "kg", "kg_per_m", "kg_per_m3", "kg_per_mm3"),
    *("n", "n_mm", "n_per_mm", "mpa", "s", "px", "pt", "usd", "eur", "deg_per_deg", "mm_per_deg", "mm_per_m"),
    # without a unit by nature, and said so
    *("ratio", "share", "factor", "count", "weight", "per_command_deg", "per_mm", "per_m", "percent"),
    *("scale", "misfit", "score", "hour", "min"),
)
SUFFIX = re.compile(rf"(?:.*_)?(?:{'|'.join(UNITS)})")

# Public floats without a unit in the name, each with its reason; * stands for any part of a name.
EXCEPTIONS = {
    "findings.finding.Finding.measured": "its unit is the field `unit` beside it",
    "findings.finding.Finding.limit": "its unit is the field `unit` beside it",
    "units.shown.*": "a number of any unit, which the caller writes behind it",
    "bender.sheet.BendStep.leg_clock": "an hour on a clock face, 12 is up",
    "bender.room.handling.PlannedStep.leg_clock": "an hour on a clock face, 12 is up",
    "bender.fit.TubeUsedPrior.sd": "of the ratio in the field beside it",
    "bender.shop_values.number_faults.*": "their unit is the argument `unit` beside them",
    "bender.least_squares.*": "equations whose unknowns have units of several kinds; the caller names them",
    "democar.sheets.*_creases": "share of a sheet's own parameter, 0 to 1",
    "jobs.dossier.amounts.amount.value": "its unit is the argument `unit` beside it",
    "jobs.rows.CheckRow.measured": "its unit is the field `unit` beside it",
    "jobs.rows.CheckRow.limit": "its unit is the field `unit` beside it",
    "jobs.rows.check_row.measured": "its unit is the argument `unit` beside it",
    "jobs.rows.check_row.limit": "its unit is the argument `unit` beside it",
    "jobs.hand_measures.HandKind.*": "their unit is the field `unit` beside them",
    "store.build_records.HandMeasure.*": "their unit goes with the field `name` beside them",
    "jobs.cuts.StickPrice.amount": "money, in the person's own",
    "jobs.stock.OrderLine.price": "money, in the person's own",
    "stock.pieces.StickOffer.price": "money, in the person's own",
    "stock.choosing.rows_unless_none.*": "of whatever the rows count",
    "rules.facts.Measured.*": "mm, degrees or a plain number, as the measure's name says",
    "rules.rows.RuleRow.*": "their unit is the field `unit` beside them",
    "rules.kinds.outcome.*": "their unit is the field or argument `unit` beside them",
    "rules.kinds.limits.meets.*": "of any unit, both of the same",
    "rules.show.Show.*": "their unit is the argument `unit` beside them",
    "papers.png.png_bytes.dots_per_inch": "the name is the unit",
    "papers.chart.*": "values of whatever is drawn; the axes name the unit",
    "shell.readers.refusals.*.measured": "its unit is the argument `unit` beside it",
    "shell.readers.refusals.*.limit": "its unit is the argument `unit` beside it",
}

CLAIMS = re.compile(
    r"\b(?:safe|unsafe(?!-(?:inline|eval)')|safely|legal|legally|approved|approves|certified)\b",
    re.IGNORECASE,
)
# The two keywords of a browser's content policy (W3C CSP Level 3) claim nothing of a cage.
# Documents that say which words are not used.
NAME_THE_WORDS = {"docs/architecture.md"}


def holds_a_bare_float(annotation: ast.expr | None) -> bool:
    """`float`, `float | None` or `tuple[float, ...]` of one kind of number."""
    if annotation is None:
        return False
    text = ast.unparse(annotation).strip("\"'")
    return text in {"float", "float | None", "None | float", "Optional[float]", "tuple[float, ...]"}


def public_floats(path: Path, root: Path) -> Iterator[tuple[str, int, str]]:
    """Full name, line and short name of every public float field and parameter of a module."""
    module = ".".join(path.relative_to(root).with_suffix("").parts)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    yield from _floats_in(tree.body, module)


def _floats_in(body: list[ast.stmt], owner: str) -> Iterator[tuple[str, int, str]]:
    for node in body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from _floats_in(node.body, f"{owner}.{node.name}")
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            name = node.target.id
            if not name.startswith("_") and holds_a_bare_float(node.annotation):
                yield f"{owner}.{name}", node.lineno, name.lower()
        elif isinstance(node, ast.FunctionDef) and (not node.name.startswith("_") or node.name == "__init__"):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            for argument in arguments:
                if holds_a_bare_float(argument.annotation):
                    yield f"{owner}.{node.name}.{argument.arg}", node.lineno, argument.arg.lower()


def without_unit(root: Path) -> list[str]:
    return [
        f"{full} (line {line})"
        for path in sorted(root.rglob("*.py"))
        for full, line, name in public_floats(path, root)
        if not SUFFIX.fullmatch(name) and not any(fnmatchcase(full, known) for known in EXCEPTIONS)
    ]


def prints(root: Path) -> list[str]:
    return [
        f"{path.relative_to(root)}:{node.lineno}"
        for path in sorted(root.rglob("*.py"))
        if path.relative_to(root).parts[0] != "cli"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]


def claims(paths: list[Path], top: Path) -> list[str]:
    return [
        f"{path.relative_to(top)}:{number}: {line.strip()}"
        for path in paths
        if path.relative_to(top).as_posix() not in NAME_THE_WORDS
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if CLAIMS.search(line)
    ]


def test_public_floats_carry_their_unit():
    assert without_unit(ROOT) == []


def test_every_exception_is_still_there():
    present = [full for path in ROOT.rglob("*.py") for full, _, _ in public_floats(path, ROOT)]
    assert [known for known in EXCEPTIONS if not any(fnmatchcase(full, known) for full in present)] == []


def test_only_the_command_line_prints():
    assert prints(ROOT) == []


def test_nothing_claims_what_it_cannot_know():
    texts = [*ROOT.rglob("*.py"), *(PROJECT / "docs").rglob("*.md"), PROJECT / "README.md"]
    assert claims(sorted(texts), PROJECT) == []


# The guards seen red ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "def bend(angle: float) -> float: ...",
        "def bend(*, angle: float = 0.0) -> None: ...",
        "class Bar:\n    length: float = 0.0",
        "class Bar:\n    length: float | None = None",
        "class Bar:\n    lengths: tuple[float, ...] = ()",
        "class Bar:\n    def cut(self, at: float) -> None: ...",
        "LONGEST: float = 3.0",
        "def bend(angle_rad: float) -> float: ...",
    ],
)
def test_a_float_without_unit_is_seen(tmp_path, text):
    (tmp_path / "bar.py").write_text(text, encoding="utf-8")
    assert len(without_unit(tmp_path)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "def bend(angle_deg: float, waste_ratio: float) -> float: ...",
        "def _bend(angle: float) -> float: ...",
        "class Bar:\n    length_mm: float | None = None\n    name: str = ''",
        "LONGEST_MM: float = 3.0",
    ],
)
def test_a_float_with_unit_passes(tmp_path, text):
    (tmp_path / "bar.py").write_text(text, encoding="utf-8")
    assert without_unit(tmp_path) == []


def test_a_print_is_seen(tmp_path):
    (tmp_path / "bar.py").write_text("def show():\n    print('x')\n", encoding="utf-8")
    assert prints(tmp_path) == ["bar.py:2"]


@pytest.mark.parametrize("text", ["This cage is safe.", "# Approved by nobody", "'LEGAL'"])
def test_a_claim_is_seen(tmp_path, text):
    (tmp_path / "bar.py").write_text(f"{text}\n", encoding="utf-8")
    assert len(claims([tmp_path / "bar.py"], tmp_path)) == 1


@pytest.mark.parametrize("text", ["A safety cage.", "yaml.safe_load", "legality is for the scrutineer"])
def test_a_trade_word_is_no_claim(tmp_path, text):
    (tmp_path / "bar.py").write_text(f"{text}\n", encoding="utf-8")
    assert claims([tmp_path / "bar.py"], tmp_path) == []
