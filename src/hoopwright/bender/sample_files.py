"""The sample-bend file: TOML, read with every fault named, and written back."""

import difflib
import json
import tomllib
from collections.abc import Iterator
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from hoopwright.bender.sample_keys import SAMPLE_TABLES, SampleFile
from hoopwright.bender.samples import Samples
from hoopwright.findings import Finding, Severity, UserError

LARGEST_FILE_BYTES = 1_000_000


def read_samples(path: Path) -> Samples:
    """Samples from a TOML file.

    Numbers may be typed with a unit as text: `od_mm = "1 3/4"`, `mark_mm = "12 in"`.

    Raises:
        UserError: `CAL-001` when the file cannot be read, `CAL-002` when it is not TOML (with the line),
            `CAL-003` for keys that it does not know, `CAL-004` for missing or unreadable numbers, and what
            `Samples` and `TubeSize` refuse.
    """
    return samples_from_text(read_text(path), path.name)


def samples_from_text(text: str, file_name: str) -> Samples:
    """Samples from the text of a TOML file; raises as `read_samples`."""
    try:
        keys = tomllib.loads(text)
    except (
        ValueError,
        RecursionError,
    ) as error:  # besides syntax: numbers of thousands of digits, endless lists
        raise refuse(
            "CAL-002",
            file_name,
            f"it is not a sample file: {error}",
            'Mend that line; text and numbers with a unit stand in quotes: od_mm = "1 3/4".',
        ) from None
    return samples_from_keys(keys, file_name)


def samples_from_keys(keys: dict[str, Any], file_name: str) -> Samples:
    """Samples from the keys of a sample file; raises as `read_samples`."""
    try:
        return SampleFile.model_validate(keys).samples()
    except ValidationError as error:
        faults = (_fault(file_name, fault) for fault in error.errors())
        # An unknown key is often the missing one mistyped: it is said first.
        raise UserError(*sorted(faults, key=lambda fault: fault.code)) from None
    except UserError as error:
        raise UserError(*(_in_file(file_name, finding) for finding in error.findings)) from None


def samples_as_keys(samples: Samples) -> dict[str, Any]:
    """The keys of the sample file, as `samples_from_keys` reads them; what is empty is left out."""
    keys: dict[str, Any] = {"od_mm": samples.tube.od_mm, "wall_mm": samples.tube.wall_mm}
    keys |= {key: getattr(samples, key) for key in ("name", "die", "batch", "date") if getattr(samples, key)}
    keys |= {key: getattr(samples, key) for key in ("yield_mpa", "steel") if getattr(samples, key)}
    keys |= {"gauge_sd_deg": samples.gauge_sd_deg, "tape_sd_mm": samples.tape_sd_mm}
    tables = (
        ("angle", samples.angles),
        ("leg", samples.legs),
        ("u", samples.us),
        ("plain", samples.plains),
    )
    for table, rows in tables:
        if rows:
            keys[table] = [{k: v for k, v in asdict(row).items() if v is not None} for row in rows]
    return keys


def samples_as_toml(samples: Samples) -> str:
    """The sample file as text, at full precision; `read_samples` gives the same samples back."""
    lines = []
    for key, value in samples_as_keys(samples).items():
        if isinstance(value, list):
            for row in value:
                lines += ["", f"[[{key}]]", *(f"{name} = {_toml(number)}" for name, number in row.items())]
        else:
            lines.append(f"{key} = {_toml(value)}")
    return "\n".join(lines) + "\n"


def _toml(value: str | float) -> str:
    if isinstance(value, str):
        # A JSON string is a TOML basic string but for the delete character, which TOML wants escaped.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(float(value))


def read_text(path: Path) -> str:
    """A small text file.

    Raises:
        UserError: `CAL-001` with the file and the reason.
    """
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise refuse("CAL-001", path.name, "it is over 1 MB, which is no sample file", "Check the file.")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise refuse("CAL-001", path.name, error.strerror or "it cannot be read", "Check the name.") from None
    except UnicodeDecodeError:
        raise refuse("CAL-001", path.name, "it is not a text file", "Save it as plain text, UTF-8.") from None


def refuse(code: str, file_name: str, what: str, todo: str, *objects: str) -> UserError:
    """The error that names a file and what is wrong with it."""
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{file_name}: {what}.",
            todo=todo,
            objects=(file_name, *objects),
        )
    )


def _in_file(file_name: str, finding: Finding) -> Finding:
    return replace(
        finding, sentence=f"{file_name}: {finding.sentence}", objects=(file_name, *finding.objects)
    )


def _fault(file_name: str, fault: ErrorDetails) -> Finding:
    place, key = _place(fault["loc"])
    if fault["type"] == "extra_forbidden":
        known = _known_keys(fault["loc"])
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
        hint = f"Did you mean '{near[0]}'? " if near else ""
        todo = f"{hint}Known keys here: {', '.join(known)}."
        return _stop("CAL-003", file_name, f"{place}'{key}' is not a key of a sample file", todo, key)
    if fault["type"] == "missing":
        return _stop("CAL-004", file_name, f"{place}'{key}' is missing", f"Add {key} = ...", key)
    if fault["type"] in ("list_type", "model_type", "dict_type"):
        what = f"{place}'{key}' is not a list of samples"
        return _stop("CAL-004", file_name, what, f"Head each sample with [[{key}]], in double brackets.", key)
    reason = fault["msg"].removeprefix("Value error, ")
    todo = "Type a number, or a number with a unit in quotes."
    return _stop("CAL-004", file_name, f"{place}{key}: {reason}", todo, key)


def _stop(code: str, file_name: str, what: str, todo: str, key: str) -> Finding:
    return refuse(code, file_name, what, todo, key).findings[0]


def _place(loc: tuple[int | str, ...]) -> tuple[str, str]:
    """The sample that a fault lies in, in words, and the key."""
    names: Iterator[str] = (part for part in loc if isinstance(part, str))
    numbers = [part for part in loc if isinstance(part, int)]
    table = next(names)
    if not numbers:
        return "", table
    return f"[[{table}]] number {numbers[0] + 1}: ", next(names, table)


def _known_keys(loc: tuple[int | str, ...]) -> list[str]:
    model = SAMPLE_TABLES[str(loc[0])] if len(loc) > 1 else SampleFile
    return list(model.model_fields)
