"""A blueprint to print and take to the shop: drawing, answers, figures, water, steps, list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from watervane.app.section_pictures import section_picture
from watervane.charts.tank_section import section_svg
from watervane.records import Blueprint, Choice, Finding
from watervane.report import Block, Columns, Drawing, Heading, Items, Paragraph, Sheet, Table
from watervane.wording import finding_line, phrase
from watervane.wording.audience import on_page
from watervane.wording.blueprint import blueprint_figures
from watervane.wording.blueprint_page import (
    PlanAnswer,
    always_minded,
    animals_against,
    animals_minded,
    plan_answers,
    plan_finding,
    plan_standing,
    plan_whys,
    water_answer,
)
from watervane.wording.blueprint_steps import StepList, shopping_table, step_lists
from watervane.wording.choices import choice_sentences, choice_table
from watervane.wording.dates import day_and_month
from watervane.wording.plan_section import section_description
from watervane.wording.tables import NumberTable

DRAWN_CM = 15.0
PRINTED_FIGURES = ("masses", "shares", "panes", "heat")


def blueprint_sheet(plan: Blueprint, choice: Choice | None = None) -> Sheet:
    """Set a plan out for paper.

    Parameters
    ----------
    plan
        As worked out.
    choice
        Which of the animals wished for can live in it, where that was asked.

    Returns
    -------
    Sheet
        It names no command: whoever holds it may have no computer.
    """
    with on_page():
        return Sheet(
            phrase("plan-sheet-title", name=plan.wish.name),
            plan_standing(plan),
            tuple(_blocks(plan, choice)),
            foot=_foot(plan),
        )


def _blocks(plan: Blueprint, choice: Choice | None) -> Iterable[Block]:
    reasons = animals_against(plan)[1:] if plan.wish.wanted else ()  # told with the animals
    for finding in plan.findings:
        if finding.severity == "problem" and finding not in reasons:
            yield Paragraph(phrase("plan-sheet-problem", problem=plan_finding(finding)), "strong")
    drawn = section_svg(section_picture(plan), "section-printed")
    yield Drawing(drawn, section_description(plan), DRAWN_CM)
    yield Paragraph(phrase("plan-sheet-drawing"), "faint")
    for answer in plan_answers(plan):
        yield from _answer(answer)
    if choice is not None or reasons:
        yield from _together(plan, choice, reasons)
    if plan.water is not None:
        told = water_answer(plan.water)
        yield from _answer(told)
        yield Columns(tuple((_table(each),) for each in told.tables))
    for steps in step_lists(plan):
        yield from _steps(steps, boxes=steps.to_do)
    if plan.shopping:
        yield from _shopping(plan)
    yield Heading(phrase("plan-sheet-figures"))
    yield from _figures(plan)
    yield Heading(phrase("plan-sheet-mind"))
    yield Items((*animals_minded(plan), *(finding_line(each) for each in always_minded(plan))))
    yield from _sums(plan)


def _together(
    plan: Blueprint, choice: Choice | None, reasons: Sequence[Finding]
) -> Iterable[Block]:
    """Who can live together here, and what stands against the others."""
    yield Heading(phrase("plan-question-together"))
    if choice is not None:
        yield Paragraph(" ".join(choice_sentences(choice)))
        if choice.chosen:
            yield _table(choice_table(choice))
    elif not reasons:  # else it stands at the head of the sheet
        yield Paragraph(plan_finding(animals_against(plan)[0]))
    if reasons:
        yield Items(tuple(plan_finding(each) for each in reasons))


def _sums(plan: Blueprint) -> Iterable[Block]:
    """Every sum behind a figure, its sources by number, and what the numbers mean."""
    numbers: dict[str, int] = {}
    yield Heading(phrase("plan-sheet-sums"))
    for title, whys in plan_whys(plan):
        told = []
        for each in whys:
            cited = [numbers.setdefault(one, len(numbers) + 1) for one in each.cited]
            marks = ", ".join(str(number) for number in cited)
            told.append(f"{each.text} [{marks}]" if marks else each.text)
        yield Paragraph(phrase("plan-sheet-sum", title=title, told=" ".join(told)), "faint")
    sources = (phrase("plan-sheet-source", number=n, source=each) for each, n in numbers.items())
    yield Paragraph(" ".join(sources), "faint")


def _answer(answer: PlanAnswer) -> Iterable[Block]:
    """A question with its answer; problems stand at the head of the sheet already."""
    yield Heading(answer.title)
    yield from (Paragraph(each) for each in answer.sentences)
    if answer.mind:
        yield Items(tuple(finding_line(each) for each in answer.mind))


def _steps(steps: StepList, *, boxes: bool) -> Iterable[Block]:
    yield Heading(steps.title)
    yield Items(tuple(steps.whole()), boxes=boxes)
    yield Paragraph(steps.caption, "faint")


def _shopping(plan: Blueprint) -> Iterable[Block]:
    table = shopping_table(plan)
    yield Heading(table.title)
    lines = tuple(phrase("plan-sheet-buy", what=what, much=much) for what, much in table.rows)
    half = (len(lines) + 1) // 2
    halves = (lines[:half], lines[half:])
    yield Columns(tuple((Items(each, boxes=True),) for each in halves))
    yield Paragraph(table.caption, "faint")


def _figures(plan: Blueprint) -> Iterable[Block]:
    figures = blueprint_figures(plan)
    told = {name: _table(figures[name]) for name in PRINTED_FIGURES if name in figures}
    yield Columns(((told.pop("masses"),), (told.pop("heat"),)))
    yield from told.values()


def _table(table: NumberTable) -> Table:
    return Table(f"{table.title}. {table.caption}", table.headers, table.rows)


def _foot(plan: Blueprint) -> str:
    filled, name = plan.wish.filled, plan.wish.name
    if filled is None:
        return phrase("plan-sheet-foot", name=name)
    return phrase("plan-sheet-foot-dated", name=name, date=f"{day_and_month(filled)} {filled.year}")
