"""What is kept: the project folder with its history."""

from hoopwright.store.folder import PROJECT_FILE, ProjectFolder
from hoopwright.store.project import IssuedSheet, Project, ScanRecord

__all__ = ["PROJECT_FILE", "IssuedSheet", "Project", "ProjectFolder", "ScanRecord"]
