"""Groups of commands of which one is meant where only a project is typed."""

from typing import Any

from typer.core import TyperGroup


def group_that_does(command: str) -> type[TyperGroup]:
    """A group in which `GROUP PROJECT` does what `GROUP COMMAND PROJECT` does, options before the project or after.

    Args:
        command: The command that is meant.
    """

    class Group(TyperGroup):
        """A group with a command that need not be typed."""

        def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
            if args and args[0] not in self.commands and args[0] != "--help":
                args = [command, *args]
            return super().parse_args(ctx, args)

    return Group
