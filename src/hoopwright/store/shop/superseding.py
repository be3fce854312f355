"""Corrections: a further record that names the one whose place it takes."""

from sqlalchemy import Connection, Table, select

from hoopwright.findings import Finding, Severity, UserError


def refuse_correction(connection: Connection, table: Table, word: str, key: str) -> None:
    """Stop a correction of a record that is not kept, or that was corrected already.

    Raises:
        UserError: `SHOP-028`.
    """
    why, todo = "", ""
    if connection.execute(select(table.c.key).where(table.c.key == key)).first() is None:
        why, todo = "is not kept, so that nothing can take its place", "Look at the key."
    else:
        later = connection.execute(select(table.c.key).where(table.c.corrects == key)).scalar()
        if later is not None:
            why, todo = f"was corrected by '{later}' already", f"Correct '{later}' instead."
    if why:
        raise UserError(
            Finding(
                code="SHOP-028",
                severity=Severity.STOP,
                sentence=f"{word.capitalize()} '{key}' {why}.",
                todo=todo,
                objects=(key,),
            )
        )
