"""``watervane blueprint new``, ``blueprint check`` and ``source-water``."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from watervane.app.blueprint_ports import Words
from watervane.app.blueprints import Planned, look_over, plan_source_water, plan_tank
from watervane.app.handing_over import HandOver
from watervane.app.ports import Ports
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Blueprint, Finding, Person, SourcePlan
from watervane.wording import finding_line
from watervane.wording.blueprint import blueprint_sentences, blueprint_tables, blueprint_title
from watervane.wording.blueprint_page import plan_finding, plan_whys
from watervane.wording.blueprint_steps import step_lists
from watervane.wording.source_water import source_sentences, source_tables, source_title


@dataclass(frozen=True, slots=True)
class Told:
    """How a plan is told: as a document, or in sentences, with every sum or without."""

    as_json: bool = False
    why: bool = False


def run_new(words: Words, files: HandOver, told: Told, ports: Ports) -> int:
    """Plan, print and maybe write; returns the exit code."""
    with shown_progress(silent=told.as_json) as progress:
        planned = plan_tank(Person(), words, ports, files, progress=progress)
    return _end(planned, told, ports)


def run_check_over(file: Path, words: Words, told: Told, ports: Ports) -> int:
    """Look a tank over and print; returns the exit code."""
    with shown_progress(silent=told.as_json) as progress:
        planned = look_over(Person(), file, words, ports, progress)
    return _end(planned, told, ports)


def run_source_water(words: Words, as_json: bool, ports: Ports) -> int:
    """Work a water out and print; returns the exit code."""
    plan = plan_source_water(Person(), words, ports)
    unmet = plan.recipe is not None and bool(plan.recipe.unmet)
    code = DO_NOT_LEAN_ON_IT if unmet else FINE
    if as_json:
        print(json.dumps(ports.blueprint.source_document(plan), allow_nan=False, indent=1))
        return code
    _print_water(plan, Printer())
    return code


def _end(planned: Planned, told: Told, ports: Ports) -> int:
    blueprint = planned.blueprint
    wrong = any(each.severity == "problem" for each in blueprint.findings)
    code = DO_NOT_LEAN_ON_IT if wrong else FINE
    if told.as_json:
        print(json.dumps(ports.blueprint.blueprint_document(blueprint), allow_nan=False, indent=1))
        return code
    printer = Printer()
    _print(blueprint, planned.findings, printer)
    if told.why:
        _print_whys(blueprint, printer)
    return code


def _print(blueprint: Blueprint, findings: tuple[Finding, ...], printer: Printer) -> None:
    printer.heading(blueprint_title(blueprint))
    wrong = [each for each in blueprint.findings if each.severity == "problem"]
    for finding in wrong:
        printer.item(plan_finding(finding))
    for sentence in blueprint_sentences(blueprint):
        printer.sentence(sentence)
        printer.sentence("")
    for steps in step_lists(blueprint):
        printer.heading(steps.title)
        for line in steps.whole():
            printer.item(line)
        printer.sentence("")
        printer.sentence(steps.caption)
        printer.sentence("")
    for table in blueprint_tables(blueprint):
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    others = [each for each in blueprint.findings if each.severity != "problem"]
    for finding in (*others, *findings):
        printer.item(plan_finding(finding))


def _print_whys(blueprint: Blueprint, printer: Printer) -> None:
    for title, whys in plan_whys(blueprint):
        printer.sentence("")
        printer.heading(title)
        for each in whys:
            printer.item(each.whole)


def _print_water(plan: SourcePlan, printer: Printer) -> None:
    printer.heading(source_title(plan))
    for sentence in source_sentences(plan):
        printer.sentence(sentence)
        printer.sentence("")
    for table in source_tables(plan):
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    recipe = plan.recipe
    for finding in (*plan.findings, *(() if recipe is None else recipe.findings)):
        printer.item(finding_line(finding))
