"""A blueprint in the order of a keeper's questions: answers, figures, what to mind, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from watervane.records import Blueprint, Choice, Finding, SourcePlan
from watervane.wording.blueprint import blueprint_figures, blueprint_subjects
from watervane.wording.blueprint_steps import StepList, shopping_table, step_lists
from watervane.wording.blueprint_why import blueprint_whys, choice_whys, water_whys
from watervane.wording.blueprint_why_later import shopping_whys, step_whys
from watervane.wording.choices import choice_lists, choice_reason, choice_sentences, choice_table
from watervane.wording.source_water import source_sentences, source_tables
from watervane.wording.tables import NumberTable
from watervane.wording.templates import finding_line, phrase
from watervane.wording.whys import Why

# Which sentences, figures and findings answer which question, in the order they are asked.
QUESTIONS: tuple[tuple[str, tuple[str, ...], tuple[str, ...], tuple[str, ...]], ...] = (
    (
        "floor",
        ("floor",),
        ("masses", "shares"),
        ("blueprint-floor-", "blueprint-engineer", "blueprint-support-"),
    ),
    ("glass", ("glass",), ("panes",), ("blueprint-glass-", "blueprint-second-hand")),
    ("water", ("water", "upkeep"), (), ("blueprint-change-",)),
    ("bed", ("bed",), (), ("blueprint-bed-",)),
    (
        "filter",
        ("filter", "air", "light"),
        (),
        ("blueprint-filter-", "blueprint-air-", "blueprint-food-", "blueprint-animal-"),
    ),
    ("heat", ("heat",), ("heat",), ("blueprint-heater-", "blueprint-too-warm")),
)
PROBLEM = "problem"
OF_ANIMALS = "choose-"  # findings of a plan about its animals


@dataclass(frozen=True, slots=True)
class PlanAnswer:
    """A question of a keeper with its answer; ``wrong`` are problems, ``mind`` cautions."""

    name: str
    title: str
    sentences: tuple[str, ...]
    wrong: tuple[Finding, ...] = ()
    mind: tuple[Finding, ...] = ()
    tables: tuple[NumberTable, ...] = ()
    lists: tuple[StepList, ...] = ()
    points: tuple[tuple[str, Sequence[str]], ...] = ()
    whys: tuple[Why, ...] = ()


def plan_standing(plan: Blueprint) -> str:
    """The first sentence: how much stands against the plan."""
    against = animals_against(plan)
    wrong = sum(each.severity == PROBLEM for each in plan.findings)
    wrong += bool(against) - len(against)  # the animals are one thing, however many reasons
    key = "plan-stands" if wrong == 0 else "plan-one-wrong" if wrong == 1 else "plan-wrong"
    if wrong == 0 and plan.wish.support == "unknown":
        key = "plan-stands-assumed"
    return phrase(key, count=wrong)


def animals_against(plan: Blueprint) -> tuple[Finding, ...]:
    """Reasons against the animals that a plan is made for.

    Parameters
    ----------
    plan
        As planned.
    """
    return _of(plan.findings, (OF_ANIMALS,), wrong=True)


def plan_finding(finding: Finding) -> str:
    """A finding of a plan as a sentence; those of animals call them by their trade names.

    Parameters
    ----------
    finding
        Of the plan.
    """
    return choice_reason(finding) if finding.key.startswith(OF_ANIMALS) else finding_line(finding)


def plan_answers(plan: Blueprint) -> list[PlanAnswer]:
    """Answers about glass, floor, water and machines."""
    told, figures, whys = blueprint_subjects(plan), blueprint_figures(plan), blueprint_whys(plan)
    return [
        PlanAnswer(
            name,
            phrase(f"plan-question-{name}"),
            tuple(told[each] for each in subjects),
            _of(plan.findings, starts, wrong=True),
            _of(plan.findings, starts, wrong=False),
            tuple(figures[each] for each in tables if each in figures),
            whys=tuple(whys[name]),
        )
        for name, subjects, tables, starts in QUESTIONS
    ]


def choice_answer(
    choice: Choice | None, wrong: Sequence[Finding] = (), plan: Blueprint | None = None
) -> PlanAnswer:
    """The answer about the animals wished for: who can live together here, and why not the others.

    Parameters
    ----------
    choice
        As chosen; none where the list could not be read.
    wrong
        What stood in the way then.
    plan
        Which is made for those alone that can live in it.
    """
    title = phrase("plan-question-together")
    against = () if plan is None else animals_against(plan)
    told = (Finding(_key_against(plan), PROBLEM),) if plan is not None and against else ()
    if choice is None:
        reasons = tuple(plan_finding(each) for each in against)
        return PlanAnswer(
            "together",
            title,
            (phrase("plan-together-unread"),),
            told,
            mind=tuple(wrong),
            points=(("", reasons),) if reasons else (),
        )
    return PlanAnswer(
        "together",
        title,
        tuple(choice_sentences(choice)),
        told,
        tables=(choice_table(choice),) if choice.chosen else (),
        points=tuple((heading, lines) for _, heading, lines in choice_lists(choice)),
        whys=tuple(choice_whys(choice)),
    )


def _key_against(plan: Blueprint) -> str:
    return "plan-animals-against" if plan.wish.animals else "plan-animals-nobody"


def later_answers(plan: Blueprint) -> list[PlanAnswer]:
    """Answers about what comes after: what to buy, and what is done when."""
    found = []
    if plan.shopping:
        title = phrase("plan-question-shop")
        table = shopping_table(plan)
        found.append(
            PlanAnswer("shop", title, (), tables=(table,), whys=tuple(shopping_whys(plan)))
        )
    if plan.timeline is not None:
        title = phrase("plan-question-steps")
        lists, whys = tuple(step_lists(plan)), tuple(step_whys(plan))
        found.append(PlanAnswer("steps", title, (), lists=lists, whys=whys))
    return found


def plan_whys(plan: Blueprint) -> list[tuple[str, list[Why]]]:
    """Every sum of a plan with what it rests on, by the question it answers.

    Parameters
    ----------
    plan
        As planned.
    """
    water = [] if plan.water is None else [water_answer(plan.water)]
    answers = [*plan_answers(plan), *water, *later_answers(plan)]
    return [(each.title, list(each.whys)) for each in answers if each.whys]


def always_minded(plan: Blueprint) -> list[Finding]:
    """What to mind with every tank, and whatever belongs to no single question."""
    answered = tuple(start for *_, starts in QUESTIONS for start in starts)
    return [each for each in plan.findings if not each.key.startswith((*answered, OF_ANIMALS))]


def animals_minded(plan: Blueprint) -> list[str]:
    """What to mind of the animals a plan is made for, none of it in the way."""
    return [choice_reason(each) for each in _of(plan.findings, (OF_ANIMALS,), wrong=False)]


def water_answer(plan: SourcePlan) -> PlanAnswer:
    """The answer about the source water, with a recipe where one was wanted."""
    recipe = plan.recipe
    found = (*plan.findings, *(() if recipe is None else recipe.findings))
    return PlanAnswer(
        "tap",
        phrase("plan-question-tap"),
        tuple(source_sentences(plan)),
        tuple(each for each in found if each.severity == PROBLEM),
        tuple(each for each in found if each.severity != PROBLEM),
        tuple(source_tables(plan)),
        whys=tuple(water_whys(plan)),
    )


def _of(
    findings: Sequence[Finding], starts: tuple[str, ...], *, wrong: bool
) -> tuple[Finding, ...]:
    return tuple(
        each
        for each in findings
        if each.key.startswith(starts) and (each.severity == PROBLEM) == wrong
    )
