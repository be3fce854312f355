"""Kinds of values in project files."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Number = Annotated[float, Field(allow_inf_nan=False)]
Place = tuple[Number, Number, Number]

# names become names of files, so a project file must not lead out of its folder
BarId = Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{1,12}$")]
FileName = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*$")]


class FileModel(BaseModel):
    """Part of a project file: nothing that is not known, nothing that changes."""

    model_config = ConfigDict(extra="forbid", frozen=True)
