"""What a GLB file says about its sizes, held against the file before a library allocates by it.

Source: Khronos glTF 2.0, binary container, accessors and nodes.
"""

import json
import struct
from pathlib import Path
from typing import Any

from hoopwright.shell.readers.refusals import check_room, damaged, refusal, too_large

_COMPONENT_BYTES = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_COMPONENTS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_LOOKS = ("KHR_materials_", "KHR_texture_", "KHR_lights_", "EXT_texture_")
_LARGEST_GROWTH = 64
_SMALL = 1_000_000


def check_glb(path: Path, data: bytes) -> None:
    """Check lengths, views, accessors and the tree of nodes.

    Raises:
        UserError: `SCAN-002`, `SCAN-003` or `SCAN-009`.
    """
    tree, room = _chunks(path, data)
    required = [str(name) for name in tree.get("extensionsRequired", ()) if not str(name).startswith(_LOOKS)]
    if required:
        raise refusal(
            "SCAN-002",
            path,
            f"the file needs {', '.join(sorted(required))[:200]}, which is not read here",
            "Export it as GLB without compression.",
        )
    for view in tree.get("bufferViews", ()):
        end = int(view.get("byteOffset", 0)) + int(view["byteLength"])
        if int(view.get("byteOffset", 0)) < 0 or not 0 <= end <= room or view.get("buffer", 0) != 0:
            raise damaged(path, f"a part of the file should end at byte {end} of its data, which has {room}")
    for number, accessor in enumerate(tree.get("accessors", ())):
        _check_accessor(path, tree, accessor, number)
    _check_nodes(path, tree)


def _chunks(path: Path, data: bytes) -> tuple[dict[str, Any], int]:
    """The JSON, and the size of the binary chunk."""
    if len(data) < 20:
        raise damaged(path, f"the file ends in its header: expected 20 bytes, found {len(data)}")
    _, version, length, json_length, _ = struct.unpack_from("<IIIII", data)
    if version != 2:
        raise refusal("SCAN-002", path, f"it is glTF of version {version}", "Export it as glTF 2.0.")
    expected = max(length, 20 + json_length)
    if expected > len(data):
        raise damaged(path, f"the file ends too early: expected {expected} bytes, found {len(data)}")
    try:
        tree = json.loads(data[20 : 20 + json_length])
    except (ValueError, RecursionError):
        raise damaged(path, f"the JSON from byte 20 to {20 + json_length} cannot be read") from None
    if not isinstance(tree, dict):
        raise damaged(path, "the JSON at byte 20 is no object")
    at = 20 + json_length
    room = 0
    if at + 8 <= len(data):
        room = struct.unpack_from("<I", data, at)[0]
        if at + 8 + room > len(data):
            found = len(data) - at - 8
            raise damaged(path, f"its data from byte {at + 8} on: expected {room} bytes, found {found}")
    return tree, room


def _check_accessor(path: Path, tree: dict[str, Any], accessor: dict[str, Any], number: int) -> None:
    count = int(accessor["count"])
    each = _COMPONENT_BYTES[accessor["componentType"]] * _COMPONENTS[accessor["type"]]
    if "sparse" in accessor:
        raise refusal("SCAN-002", path, "it has sparse data", "Export it as plain GLB.")
    views = tree.get("bufferViews", ())
    place = int(accessor.get("bufferView", -1))
    room = int(views[place]["byteLength"]) if 0 <= place < len(views) else 0
    stride = int(views[place].get("byteStride", each)) if room else each
    offset = int(accessor.get("byteOffset", 0))
    if offset < 0 or not each <= stride <= 252:
        raise damaged(path, f"data set {number} has the offset {offset} and the stride {stride}")
    check_room(path, f"entries of data set {number}", count, stride, max(0, room - offset + stride - each))


def _check_nodes(path: Path, tree: dict[str, Any]) -> None:
    """Refuse nodes with two parents, and trees that repeat meshes beyond reason."""
    nodes = tree.get("nodes", ())
    children = [child for node in nodes for child in node.get("children", ())]
    if len(set(children)) < len(children) or any(not 0 <= child < len(nodes) for child in children):
        raise damaged(path, "a node has two parents or one that is not in the file")
    _check_depth(path, nodes)
    sizes = [_mesh_size(tree, mesh) for mesh in tree.get("meshes", ())]
    shown = sum(sizes[node["mesh"]] for node in nodes if "mesh" in node)
    limit = max(_SMALL, _LARGEST_GROWTH * sum(sizes))
    if shown > limit:
        raise too_large(
            path,
            f"its nodes repeat meshes up to {shown} entries",
            measured=shown,
            limit=limit,
            unit="entries",
        )


def _check_depth(path: Path, nodes: Any) -> None:
    """With one parent each, nodes that no root reaches go in a circle."""
    below = {child for node in nodes for child in node.get("children", ())}
    level = [number for number in range(len(nodes)) if number not in below]
    reached, depth = 0, 0
    while level:
        reached += len(level)
        depth += 1
        level = [child for number in level for child in nodes[number].get("children", ())]
    if reached < len(nodes) or depth > 500:
        raise damaged(path, "its nodes go in a circle or are too deep")


def _mesh_size(tree: dict[str, Any], mesh: dict[str, Any]) -> int:
    accessors = tree.get("accessors", ())
    used = [one["attributes"]["POSITION"] for one in mesh["primitives"]]
    used += [one["indices"] for one in mesh["primitives"] if "indices" in one]
    if any(not 0 <= place < len(accessors) for place in used):
        raise IndexError("a mesh uses data that are not in the file")
    return sum(int(accessors[place]["count"]) for place in used)
