"""The page of the catalogue: how it was made, every disagreement, nothing left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from catalogue.crosschecks import Check
from catalogue.making import Made
from catalogue.merging import Merged, differing
from catalogue.replaced import replaced
from catalogue.rules import GRADES_TOLD, RULES, Rule
from watervane.reference.catalogue_cells import number_or_none
from watervane.reference.catalogue_words import REVIEW_COLUMNS
from watervane.reference.sources import sources

HEAD = """# The catalogue: how it was made, and where it disagrees

`python -m catalogue` makes this page and the table of animals from two reviews that are kept in
`catalogue/data` as they were handed in; a test makes both again. How to look animals up is told on
[the page for keepers](animals.md).

## What it rests on

Two reviewers filled in {count} animals each, from memory, without seeing the other's table. That is
no measurement. Of all {cells} cells, {same} % are letter for letter the same in both, and of the
figures {same_figures} %: more than two strangers would manage, so both have plainly learnt from the
same books, and that they agree proves little. What was measured reaches {measured} of the animals,
what a third voice said earlier {third}; both stand further down.

| grade | animals | given where |
|---|---|---|
{grades}

Weighty subjects are {weighty}.

## What stands where two reviews differ

The safer of two stands, which is the wider one for some subjects and the narrower for others.

| subject | differ | one alone | what stands | counted as the same | why |
|---|---|---|---|---|---|
{rules}
"""


def page(made: Made) -> str:
    """The whole page."""
    return "\n".join(_parts(made)) + "\n"


def _parts(made: Made) -> Iterator[str]:
    yield _head(made)
    yield "## Every animal on which the reviews differ\n"
    yield (
        "Both readings stand in the order of the two reviews; the third is what the catalogue "
        "says. Trade names are left out, and so is what counts as the same.\n"
    )
    yield "| animal | grade | subject | first | second | stands |"
    yield "|---|---|---|---|---|---|"
    yield from _differences(made)
    yield from _apart(made.rows)
    yield from _measured(made.rows)
    yield from _checks(made.checks)
    yield from replaced(made.rows)


def _head(made: Made) -> str:
    grades = Counter(row.grade for row in made.rows)
    told = "\n".join(f"| {g} | {grades[g]} | {why} |" for g, why in GRADES_TOLD.items())
    same, figures = _alike(made)
    weighty = [rule.subject for rule in RULES if rule.weighty]
    return HEAD.format(
        count=len(made.rows),
        cells=len(made.rows) * (len(REVIEW_COLUMNS) - 3),
        same=same,
        same_figures=figures,
        measured=len(_reached(made.checks, older=False)),
        third=len(_reached(made.checks, older=True)),
        grades=told,
        weighty=f"{', '.join(weighty[:-1])} and {weighty[-1]}",
        rules="\n".join(_rule_line(rule, made) for rule in RULES),
    )


def _reached(checks: Sequence[Check], *, older: bool) -> set[str]:
    found = [check.animal for check in checks if check.source.endswith(".csv") == older]
    return {name for names in found for name in names.split(", ")}


def _alike(made: Made) -> tuple[int, int]:
    """Percent of cells, and of figures, that are the same in both reviews."""
    names = [c for c in REVIEW_COLUMNS if c not in {"scientific_name", "confidence", "note"}]
    cells = [(a[c], b[c]) for a, b in zip(made.first, made.second, strict=True) for c in names]
    figures = [pair for pair in cells if all(number_or_none(cell) is not None for cell in pair)]
    same = sum(a == b for a, b in cells) / len(cells)
    same_figures = sum(float(a) == float(b) for a, b in figures) / len(figures)
    return round(100 * same), round(100 * same_figures)


def _rule_line(rule: Rule, made: Made) -> str:
    pairs = zip(made.first, made.second, strict=True)
    count = sum(differing(rule, a, b) for a, b in pairs)
    single = sum(rule.subject in row.single for row in made.rows)
    within = ""
    if rule.tolerance:
        within = f"within a factor {rule.tolerance:g}" if rule.by_factor else f"{rule.tolerance:g}"
    return f"| {_said(rule.subject)} | {count} | {single} | {rule.how} | {within} | {rule.why} |"


def _differences(made: Made) -> Iterator[str]:
    for a, b, row in zip(made.first, made.second, made.rows, strict=True):
        name = row.cells["scientific_name"]
        for rule in RULES:
            if rule.subject != "common_names" and differing(rule, a, b):
                cells = [
                    " to ".join(told[column] for column in rule.columns)
                    for told in (a, b, row.cells)
                ]
                said = " | ".join(cell.replace(";", ", ") or "none" for cell in cells)
                yield f"| {name} | {row.grade} | {_said(rule.subject)} | {said} |"


def _apart(rows: Sequence[Merged]) -> Iterator[str]:
    found = [
        f"{row.cells['scientific_name']} ({', '.join(row.apart)})" for row in rows if row.apart
    ]
    yield "\n## Water ranges that hardly meet\n"
    yield (", ".join(found) if found else "None: every range of one review meets the other's.")


def _measured(rows: Sequence[Merged]) -> Iterator[str]:
    yield "\n## Groups that a published test decided\n"
    found = [
        f"{row.cells['scientific_name']}: {_said(column)} {row.cells[column]}"
        for row in rows
        for column in row.measured
    ]
    yield "; ".join(found) + "."


def _checks(checks: Sequence[Check]) -> Iterator[str]:
    yield "\n## Held against what was measured, and against a third voice\n"
    yield (
        "Temperature limits must lie outside even the widest range. The longest length on record "
        "should be within a factor of 1.5 of our largest, and not below our usual one. A group "
        "must not be hardier than what killed half of its species allows. 'Safer' means that ours "
        "differs to the careful side. 'Order of two' compares species tested with one substance, "
        "in data that say of themselves that they are good for order alone, and it does not grade. "
        "The third voice are the tables of lengths, ranges and groups that were there before: of "
        "these animals the model reads length and form from the catalogue. Their ranges stand in "
        "`animal_limits.csv`, too, written down twice as well: wherever an animal is looked up, "
        "what all four call good stands, within what any of them does.\n"
    )
    yield "| subject | compared | agree | safer | differ |"
    yield "|---|---|---|---|---|"
    for (subject, source), group in _by_subject(checks):
        verdicts = Counter(check.verdict for check in group)
        counts = f"{verdicts['agrees']} | {verdicts['safer']} | {verdicts['differs']}"
        yield f"| {_said(subject)}, by {_cited(source)} | {len(group)} | {counts} |"
    yield "\n### Every comparison that does not agree\n"
    yield "| subject | animal | ours | theirs | by | how |"
    yield "|---|---|---|---|---|---|"
    for check in checks:
        if check.verdict != "agrees":
            yield _check_line(check)
    yield "\n### Comparisons with measurements that agree\n"
    yield "| subject | animal | ours | theirs | by | how |"
    yield "|---|---|---|---|---|---|"
    for check in checks:
        if check.verdict == "agrees" and not check.source.endswith(".csv"):
            yield _check_line(check)


def _check_line(check: Check) -> str:
    cells = (check.subject, check.animal, check.ours, check.theirs, _cited(check.source))
    return f"| {' | '.join(cells)} | {check.verdict} |"


def _by_subject(checks: Sequence[Check]) -> Iterator[tuple[tuple[str, str], list[Check]]]:
    found: dict[tuple[str, str], list[Check]] = {}
    for check in checks:
        found.setdefault((check.subject, check.source), []).append(check)
    yield from found.items()


def _cited(source: str) -> str:
    return f"`{source}`" if source in sources() or source.endswith(".csv") else source


def _said(subject: str) -> str:
    return subject.replace("_", " ")
