"""The commands for trouble and care; importing this adds them to the program."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import At, File, Full, Json, Members, Seed, Threads, program


@program.command("first-aid")
def first_aid_command(
    context: typer.Context,
    see: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT",
            help="What you see: gasping, restless, listless, deaths, cloudy, marks or usual.",
        ),
    ] = None,
    done: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHAT",
            help="What was done in the last two days: water-raw, water-change, food-spilt, "
            "newcomers, filter-cleaned, stopped, treated, gas, sprayed, heat, months, or none. "
            "Repeatable.",
        ),
    ] = None,
    test: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT",
            help='A test and what it shows: "ph 6.4", "ammonia some". Repeatable.',
        ),
    ] = None,
    page: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Write a page for phones that needs no network and no program."
        ),
    ] = None,
    sheet: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write a sheet for the wall, as PDF.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Tell what to do in the next hour when animals are in trouble; needs no file."""

    def work() -> int:
        from watervane.cli.first_aid import Wanted, run_first_aid

        deeds, tests = tuple(done or ()), tuple(test or ())
        return run_first_aid(Wanted(see or "", deeds, tests, page, sheet, as_json), context.obj())

    guarded(work)


@program.command("trouble")
def trouble_command(
    context: typer.Context,
    file: Annotated[
        Path | None,
        typer.Argument(help="A tank file or a log whose entries count. May be left out."),
    ] = None,
    see: Annotated[
        list[str] | None,
        typer.Option(
            metavar="SIGN",
            help="What you see: gasping, fast-breathing, hiding, lying, darting, rubbing, "
            "clamped-fins, not-eating, off-balance, chasing, red-gills, brown-gills, white-spots, "
            "fuzz, ragged-fins, sores, bloating, bubbles, cloudy-white, green-water, film, smell, "
            "deaths-one-species, deaths-all, invertebrates-suffer, worse-at-dawn, as-usual. "
            "Repeatable.",
        ),
    ] = None,
    not_seen: Annotated[
        list[str] | None,
        typer.Option(metavar="SIGN", help="What you looked for and did not find. Repeatable."),
    ] = None,
    who: Annotated[
        str | None,
        typer.Option(metavar="WHO", help="Who suffers: all, one-species, one-animal or newcomers."),
    ] = None,
    since: Annotated[
        str | None,
        typer.Option(metavar="WHEN", help="Since when: hours, a-day, days or weeks."),
    ] = None,
    after: Annotated[
        list[str] | None,
        typer.Option(
            metavar="DEED",
            help="What was done in the last two days, as for first-aid; none, or unsure of the "
            "rest. Repeatable.",
        ),
    ] = None,
    reading: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='What you read now: "ammonia 0.5 mg/L". Repeatable.'),
    ] = None,
    before: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='What was read before it began: "gh 6". Repeatable.'),
    ] = None,
    animals: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='Without a file: "6 Danio rerio". Repeatable.'),
    ] = None,
    days_old: Annotated[
        int | None, typer.Option(min=0, max=20_000, help="Without a file: days since filling.")
    ] = None,
    fit: Annotated[
        bool,
        typer.Option(
            "--fit", help="Run the model of the tank to two days before, and hold the water to it."
        ),
    ] = False,
    at: At = None,
    as_json: Json = False,
) -> None:
    """Find the cause of what you see: ranked causes, what to check next, what to do meanwhile."""
    told = {
        "see": see, "not-seen": not_seen, "who": who, "since": since, "after": after,
        "reading": reading, "before": before, "animals": animals,
        "days-old": None if days_old is None else str(days_old),
    }  # fmt: skip

    def work() -> int:
        from watervane.cli.forecast import parsed_moment
        from watervane.cli.trouble import run_trouble

        return run_trouble(file, told, parsed_moment(at), as_json, context.obj(), fit=fit)

    guarded(work)


def _text(flag: str, example: str, told: str) -> object:
    return typer.Option(flag, metavar="TEXT", help=f'{told} "{example}".')


@program.command("dose")
def dose_command(
    context: typer.Context,
    substance: Annotated[
        str,
        typer.Argument(
            help="What it is: conditioner, salt, buffer, mineral, fertiliser, treatment, or the "
            "name of a pure substance."
        ),
    ],
    label: Annotated[str | None, _text("--label", "5 mL per 50 L", "What the label says.")] = None,
    volume: Annotated[
        str | None, _text("--volume", "54 L", "Net water, without bed and stones.")
    ] = None,
    tank: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Take water and animals of a tank.")
    ] = None,
    bath: Annotated[
        str | None, _text("--bath", "5 L", "Of a bath in a vessel of its own, instead.")
    ] = None,
    animals: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='Whom it reaches: "4 Danio rerio 3 cm". Repeatable.'),
    ] = None,
    changed: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT", help='A water change since the last full dose: "25 %". Repeatable.'
        ),
    ] = None,
    times: Annotated[str | None, _text("--times", "3", "How many doses.")] = None,
    every: Annotated[str | None, _text("--every", "2 d", "Time between doses.")] = None,
    change: Annotated[
        str | None, _text("--change", "25 %", "Water changed before each repeat.")
    ] = None,
    half_life: Annotated[
        str | None, _text("--half-life", "24 h", "Until half of it is gone by itself.")
    ] = None,
    most: Annotated[
        str | None, _text("--most", "10 mL per 50 L", "The most the label allows at once.")
    ] = None,
    ph: Annotated[str | None, _text("--ph", "6.8", "Of the water.")] = None,
    kh: Annotated[str | None, _text("--kh", "2 dKH", "Of the water.")] = None,
    ammonia: Annotated[
        str | None, _text("--ammonia", "0.5 mg/L as N", "As read in the water.")
    ] = None,
    temperature: Annotated[str | None, _text("--temperature", "25 degC", "Of the water.")] = None,
    chloramine: Annotated[
        str | None, _text("--chloramine", "1.5 mg/L", "Of the tap water.")
    ] = None,
    sure: Annotated[
        bool, typer.Option("--sure", help="It is so, however strong or much: nothing is asked.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Work out a dose by its label: how much, what changes took, and whom it would harm."""
    told = dict(locals())

    def work() -> int:
        from watervane.cli.dose import run_dose

        for other in ("context", "as_json", "tank"):
            told.pop(other)
        return run_dose(told, tank, as_json, context.obj())

    guarded(work)


@program.command("quarantine")
def quarantine_command(
    context: typer.Context,
    volume: Annotated[str | None, _text("--volume", "20 L", "Net water of the bare tank.")] = None,
    animals: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='Who is in it: "6 Danio rerio 3 cm". Repeatable.'),
    ] = None,
    temperature: Annotated[str | None, _text("--temperature", "25 degC", "Of the water.")] = None,
    seeded: Annotated[
        str | None, _text("--seeded", "0.5 L", "Medium moved in from a settled tank.")
    ] = None,
    medium: Annotated[str | None, _text("--medium", "sponge", "What medium that is.")] = None,
    food: Annotated[str | None, _text("--food", "50 %", "Fed of what the animals need.")] = None,
    treated: Annotated[
        bool, typer.Option("--treated", help="Something is dosed that may hurt colonies.")
    ] = False,
    ph: Annotated[str | None, _text("--ph", "7.6", "Of the water.")] = None,
    as_json: Json = False,
) -> None:
    """Plan a bare tank for newcomers or the sick: what carries its ammonia, and how long."""
    told = {**locals(), "treated": "yes" if treated else None}

    def work() -> int:
        from watervane.cli.quarantine import run_quarantine

        for other in ("context", "as_json"):
            told.pop(other)
        return run_quarantine(told, as_json, context.obj())

    guarded(work)


@program.command("watch")
def watch_command(
    context: typer.Context,
    tank: Annotated[Path, typer.Argument(metavar="TANK", help="A tank of the journal.")],
    as_json: Json = False,
) -> None:
    """Tell quietly what leaves the course that was foretold for it."""

    def work() -> int:
        from watervane.cli.watch import run_watch

        return run_watch(tank, as_json, context.obj())

    guarded(work)


@program.command("care")
def care_command(
    context: typer.Context,
    file: File,
    at: At = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 500,
    threads: Threads = 2,
    sheet: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write it to print, as PDF.")
    ] = None,
    calendar: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write its days as a calendar (.ics).")
    ] = None,
    over: Annotated[
        bool, typer.Option("--over", help="Replace a sheet, bring a calendar up to date.")
    ] = False,
) -> None:
    """Find the least work that keeps the water in bounds for a year, and the way back to it."""

    def work() -> int:
        from watervane.app.care_ports import CareRequest
        from watervane.app.caring import CareFiles
        from watervane.cli.care import run_care
        from watervane.cli.forecast import parsed_moment

        request = CareRequest(parsed_moment(at), members, seed, threads)
        files = CareFiles(sheet, calendar, over)
        return run_care(file, request, as_json, context.obj(), files, full=full)

    guarded(work)


@program.command("calendar")
def calendar_command(
    context: typer.Context,
    file: File,
    days: Annotated[int, typer.Option(min=1, max=730, help="How many days ahead.")] = 60,
    to: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a calendar that other programs read (.ics)."),
    ] = None,
    over: Annotated[
        bool, typer.Option("--over", help="Bring a calendar of ours that is there up to date.")
    ] = False,
    as_json: Json = False,
) -> None:
    """List what is due for a tank, or write it as a calendar."""

    def work() -> int:
        from watervane.cli.due import Wanted, run_calendar

        return run_calendar(file, Wanted(days, to, over, as_json), context.obj())

    guarded(work)
