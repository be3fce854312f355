"""Project files of earlier versions, brought to the present one step after the other."""

from typing import Any


def upgraded(keys: Any) -> Any:
    """The content of a project file in the present version, one step after the other.

    What is no project file at all is left for the reader to refuse.
    """
    steps = {1: _to_2, 2: _to_3, 3: _to_4, 4: _to_5, 5: _to_6, 6: _to_7}
    while isinstance(keys, dict) and type(keys.get("version")) is int and keys["version"] in steps:
        keys = steps[keys["version"]](keys)
    return keys


def _to_2(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 2 knows drivers, and how a bar was fitted."""
    return {"drivers": [], **keys, "version": 2}


def _to_3(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 3 knows the holes that are cut for bars."""
    return {"holes": [], **keys, "version": 3}


def _to_4(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 4 knows bars as bent."""
    return {"as_bent": [], **keys, "version": 4}


def _to_5(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 5 knows landings, gussets and the typed order of assembly."""
    return {"landings": [], "gussets": [], "order": [], **keys, "version": 5}


def _to_6(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 6 knows the car, the book that it is held to, and what a build gathers for its acceptance."""
    return {
        "answers": [],
        "measures": [],
        "photos": [],
        "log_lines": [],
        "tubes_used": [],
        **keys,
        "version": 6,
    }


def _to_7(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 7 knows from which end a leg is counted, which was end A, and bars that are none of the known kinds."""
    return {**keys, "version": 7}
