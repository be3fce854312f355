"""What is kept: the project folder with its history."""

from hoopwright.store.folder import PROJECT_FILE, ProjectFolder
from hoopwright.store.project import AsBentRecord, IssuedSheet, Project, ScanRecord

__all__ = ["PROJECT_FILE", "AsBentRecord", "IssuedSheet", "Project", "ProjectFolder", "ScanRecord"]
