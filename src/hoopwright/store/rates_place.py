"""Where the rates are: of one project, or a person's own. Nothing heavy is imported here."""

import os
from pathlib import Path

import platformdirs

RATES_FILE = "rates.toml"
RATES_VARIABLE = "HOOPWRIGHT_RATES"


def own_rates_file() -> Path:
    """The person's own rates, there or not: the file of the variable HOOPWRIGHT_RATES, or one in the data folder."""
    typed = os.environ.get(RATES_VARIABLE, "").strip()
    if typed:
        return Path(typed).expanduser()
    return platformdirs.user_data_path("hoopwright", appauthor=False) / RATES_FILE


def rates_file(project: Path, given: Path | None = None) -> Path | None:
    """The rates that count: those that were named, else the project's, else the person's own; None where none are.

    Args:
        project: The project's folder.
        given: What was named; it counts even where it is not there.
    """
    if given is not None:
        return given
    return next((path for path in (project / RATES_FILE, own_rates_file()) if path.is_file()), None)
