"""The list of commands in ``--help``: grouped, and in the order a keeper comes to need them."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from typer.core import TyperGroup

if TYPE_CHECKING:
    from typer._click import Command, Context, HelpFormatter

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Is anything wrong, and what is coming",
        (
            "today",
            "first-aid",
            "trouble",
            "dose",
            "rounds",
            "serve",
            "forecast",
            "rehearse",
            "ledger",
            "colonies",
            "limits",
            "watch",
            "care",
            "calendar",
        ),
    ),
    ("Write down what you read and did", ("record", "correct", "undo", "photo", "tank")),
    (
        "Start a tank, and fill it",
        (
            "blueprint",
            "source-water",
            "animals",
            "ways",
            "challenge",
            "headroom",
            "fill",
            "bring-home",
            "quarantine",
            "resettle",
        ),
    ),
    ("The file that tells of a tank", ("check", "schema")),
    ("Look around, and see what it rests on", ("club", "demo", "score", "sources")),
    ("Take tanks elsewhere and back", ("export", "import", "merge", "mirror")),
    ("Look after the journal and the program", ("work", "backup", "restore", "look-over")),
)
OTHERS = "More"
MOST_COLUMNS, LEAST_COLUMNS = 100, 30
# What a keeper may type who does not know the name.
MEANT = {
    **dict.fromkeys(("now", "status", "advice", "verdict"), "today"),
    **dict.fromkeys(("help-me", "emergency", "sos", "gasping"), "first-aid"),
    **dict.fromkeys(("diagnose", "cause", "problem", "sick", "symptom", "vet"), "trouble"),
    **dict.fromkeys(("due", "ical", "reminders", "schedule"), "calendar"),
    **dict.fromkeys(("routine", "maintenance", "upkeep", "water-change"), "care"),
    **dict.fromkeys(("predict", "future", "run", "simulate"), "forecast"),
    **dict.fromkeys(("what-if", "whatif", "scenario"), "rehearse"),
    **dict.fromkeys(("start", "cycle", "cycling", "compare"), "ways"),
    **dict.fromkeys(("stock", "stocking", "room", "capacity", "how-many"), "headroom"),
    **dict.fromkeys(("species", "fish", "catalogue", "animal"), "animals"),
    **dict.fromkeys(("bag", "transport", "acclimate", "drip"), "bring-home"),
    **dict.fromkeys(("validate", "lint", "test"), "check"),
    **dict.fromkeys(("log", "add", "write"), "record"),
}
WHOLE = 400  # characters: no description is cut off


class GroupedCommands(TyperGroup):
    """A program that lists its commands in groups, and helps narrow terminals, too."""

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: Context | None = None,
        **extra: Any,
    ) -> Context:
        """Help of all commands is as wide as the terminal, down to thirty columns."""
        columns = shutil.get_terminal_size().columns
        extra.setdefault("terminal_width", max(min(columns, MOST_COLUMNS) - 1, LEAST_COLUMNS))
        return super().make_context(info_name, args, parent, **extra)

    def resolve_command(
        self, ctx: Context, args: list[str]
    ) -> tuple[str | None, Command | None, list[str]]:
        """A word that no command has, but that stands for one, leads to it."""
        meant = MEANT.get(args[0].lower().replace("_", "-")) if args else None
        if meant is not None and self.get_command(ctx, args[0]) is None:
            ctx.fail(f"No such command '{args[0]}'. Did you mean '{meant}'?")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: Context) -> Any:
        """A command without the file it needs says how to name one, or how to make one."""
        try:
            return super().invoke(ctx)
        except Exception as error:
            param = getattr(error, "param", None)
            if getattr(param, "name", None) == "file" and not getattr(error, "message", ""):
                from watervane.wording import phrase

                vars(error)["message"] = phrase("file-argument", command=ctx.invoked_subcommand)
            raise

    def list_commands(self, ctx: Context) -> list[str]:
        """Names in the order of the groups; those no group knows come last."""
        return [name for _, names in grouped(super().list_commands(ctx)) for name in names]

    def format_commands(self, ctx: Context, formatter: HelpFormatter) -> None:
        """Write each group with its commands, their descriptions wrapped rather than cut."""
        for title, names in grouped(super().list_commands(ctx)):
            found = ((name, self.get_command(ctx, name)) for name in names)
            rows = [
                (name, command.get_short_help_str(WHOLE))
                for name, command in found
                if command is not None and not command.hidden
            ]
            if rows:
                with formatter.section(title):
                    formatter.write_dl(rows)


def grouped(known: list[str]) -> Iterator[tuple[str, list[str]]]:
    """Titles with those of their commands there are, then all that no group names."""
    for title, names in GROUPS:
        yield title, [name for name in names if name in known]
    listed = {name for _, names in GROUPS for name in names}
    yield OTHERS, [name for name in known if name not in listed]
