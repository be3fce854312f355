"""The page of the screen, its script and its looks, as they were built into the package."""

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError

BUILT = Path(__file__).resolve().parents[1] / "built" / "screen"
KINDS = {
    "js": "text/javascript",
    "css": "text/css",
    "svg": "image/svg+xml",
    "webmanifest": "application/manifest+json",
}
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; "
    "connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="color-scheme" content="light dark">
<title>At the bender</title>
<link rel="icon" href="/bend/_/icon.svg">
<link rel="manifest" href="/bend/_/screen.webmanifest">
<link rel="stylesheet" href="/bend/_/screen.css?{version}">
</head>
<body>
<noscript>This page needs scripts to be allowed.</noscript>
<div id="screen"><p class="wait">Opening the bar ...</p></div>
<script type="module" src="/bend/_/index.js?{version}"></script>
</body>
</html>
"""


@dataclass(frozen=True, kw_only=True)
class ServedFile:
    """A file as it goes out."""

    content: bytes
    kind: str


@cache
def version() -> str:
    """Changes with any of the built files.

    Raises:
        UserError: `WEB-020` where they are not built.
    """
    digest = hashlib.sha256(_PAGE.encode())
    for path in _built():
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:12]


def page() -> bytes:
    """The page; the same for every bar, so that a browser may keep it.

    Raises:
        UserError: `WEB-020`.
    """
    return _PAGE.format(version=version()).encode()


@cache
def served_file(name: str) -> ServedFile | None:
    """A built file by its plain name; None for any other name.

    Raises:
        UserError: `WEB-020`.
    """
    path = next((path for path in _built() if path.name == name), None)
    if path is None:
        return None
    content = path.read_bytes()
    if name == "worker.js":
        content = f'self.HOOPWRIGHT_VERSION="{version()}";\n'.encode() + content
    return ServedFile(content=content, kind=KINDS[path.suffix[1:]])


def _built() -> list[Path]:
    found = sorted(path for path in BUILT.glob("*") if path.suffix[1:] in KINDS)
    if not any(path.name == "index.js" for path in found):
        raise UserError(
            Finding(
                code="WEB-020",
                severity=Severity.STOP,
                sentence="The screen at the bender is not built into this copy of the tool.",
                todo="Install a wheel, or in a checkout: 'npm ci' and 'node build.mjs ../src/hoopwright/web/built' in "
                "viewport/.",
            )
        )
    return found
