"""One PDF put where the person asked for it, beside the list of what was made there."""

from pathlib import Path

from hoopwright.store.made_files import MadeFile, content_sha256, put_in_folder, read_made, refuse_foreign


def put_pdf(file: Path, content: bytes, *, kind: str, identity: str, date: str) -> None:
    """Write one made file beside the list of what was made there.

    Raises:
        UserError: `FILE-103`, `STORE-002`.
    """
    where, contents = file.parent, {file.name: content}
    before = read_made(where)
    refuse_foreign(where, contents, before)
    made = MadeFile(name=file.name, kind=kind, sha256=content_sha256(content), identity=identity, date=date)
    put_in_folder(where, contents, {**before, file.name: made})
