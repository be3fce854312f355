"""Columns that many tables of a cage have."""

from hoopwright.papers.table_files import FileColumn

BAR = FileColumn(head="bar")
PLACE = tuple(FileColumn(head=head, kind="length") for head in ("forward", "left", "up"))
