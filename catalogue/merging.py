"""Two reviews become one table: what stands, where they differ, how far they went together."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from catalogue.rules import GOOD_UP_TO, LEAST_OVERLAP, RULES, WEAK_FROM, Rule
from watervane.reference import body_form
from watervane.reference.animal_limits import animal_values
from watervane.reference.catalogue_cells import cell_problems, split_cell
from watervane.reference.catalogue_words import (
    CATALOGUE_COLUMNS,
    REVIEW_COLUMNS,
    SEVERAL_WORDS,
    UNKNOWN,
)
from watervane.reference.names import plain_name, singular

Row = Mapping[str, str]
DATA = Path(__file__).parent / "data"
REVIEWS = ("review_a.csv", "review_b.csv")
SOURCE = "two_reviews"
MEASURED = {"ammonia_group": "ammonia group", "nitrite_group": "nitrite group"}
THIRD = {**MEASURED, "salt_group": "salt group"}


@dataclass(frozen=True, slots=True)
class Merged:
    """One row of the catalogue, and how it came about.

    ``single`` are subjects that one review left open, ``apart`` water ranges that hardly meet,
    ``measured`` groups that a published test decided.
    """

    cells: dict[str, str]
    differs: tuple[str, ...]
    single: tuple[str, ...]
    apart: tuple[str, ...]
    measured: tuple[str, ...]
    grade: str


@dataclass
class _Outcome:
    cells: dict[str, str] = field(default_factory=dict)
    differs: list[str] = field(default_factory=list)
    single: list[str] = field(default_factory=list)
    apart: list[str] = field(default_factory=list)
    measured: list[str] = field(default_factory=list)


class BadReviewError(ValueError):
    """A review that cannot be merged; names file, line and column."""


def read_review(file: Path) -> list[dict[str, str]]:
    """The rows of one review, every cell judged.

    Raises
    ------
    BadReviewError
        For other columns than those agreed upon, and for every cell that cannot stand.
    """
    with file.open(encoding="utf-8", newline="") as opened:
        reader = csv.DictReader(opened)
        if tuple(reader.fieldnames or ()) != REVIEW_COLUMNS:
            raise BadReviewError(f"{file.name}:1: the columns are not those of a review")
        rows = [{name: (cell or "").strip() for name, cell in row.items()} for row in reader]
    problems = [
        f"{file.name}:{problem.line}: {problem.column} '{problem.typed}': {problem.key}"
        for line, row in enumerate(rows, start=2)
        for problem in cell_problems(row, line)
    ]
    if problems:
        raise BadReviewError("\n".join(problems))
    return rows


def merge(first: Sequence[Row], second: Sequence[Row]) -> list[Merged]:
    """Merge two reviews of the same animals.

    Raises
    ------
    BadReviewError
        If they are not of the same animals in the same order.
    """
    names = [[row["scientific_name"] for row in review] for review in (first, second)]
    if names[0] != names[1] or len(set(names[0])) != len(names[0]):
        raise BadReviewError("the reviews are not of the same animals in the same order")
    rows = [_merged(a, b) for a, b in zip(first, second, strict=True)]
    _name_once(rows, first, second)
    return rows


def table_text(rows: Sequence[Merged]) -> str:
    """The shipped table."""
    out = io.StringIO()
    writer = csv.DictWriter(out, CATALOGUE_COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(row.cells for row in rows)
    return out.getvalue()


def differing(rule: Rule, a: Row, b: Row) -> bool:
    """Whether two reviews differ on a subject by more than its tolerance; both must tell it."""
    cells = [(a[column], b[column]) for column in rule.columns]
    if any(not one or not other for one, other in cells):
        return False
    if rule.columns[0] in SEVERAL_WORDS or rule.subject == "common_names":
        return any(set(split_cell(one)) != set(split_cell(other)) for one, other in cells)
    if not rule.tolerance:
        return any(one != other for one, other in cells)
    numbers = [(float(one), float(other)) for one, other in cells]
    if rule.by_factor:
        return any(max(pair) > rule.tolerance * min(pair) for pair in numbers)
    return any(abs(one - other) > rule.tolerance + 1e-9 for one, other in numbers)


def _merged(a: Row, b: Row) -> Merged:
    out = _Outcome({"scientific_name": a["scientific_name"]})
    for rule in RULES:
        _stand(rule, a, b, out)
    _third_voice(out)
    _measured_groups(out)
    if "kept alone" in split_cell(out.cells["welfare"]):
        out.cells["group_min"] = "1"
    grade = _grade(out, a, b)
    notes = dict.fromkeys(note for note in (a["note"], b["note"]) if note)
    out.cells |= {"grade": grade, "differs": ";".join(out.differs), "source": SOURCE}
    out.cells |= {"quality": "from memory", "note": " ".join(notes)}
    return Merged(
        out.cells,
        tuple(out.differs),
        tuple(out.single),
        tuple(out.apart),
        tuple(out.measured),
        grade,
    )


def _stand(rule: Rule, a: Row, b: Row, out: _Outcome) -> None:
    if differing(rule, a, b) and rule.subject != "common_names":
        out.differs.append(rule.subject.replace(" ", "_"))
    told = [row for row in (a, b) if all(row[column] for column in rule.columns)]
    if len(told) < 2 and rule.columns[0] not in SEVERAL_WORDS:
        if told:
            out.single.append(rule.subject)
        out.cells |= {c: (told[0][c] if told else "") for c in rule.columns}
        return
    if rule.how == "overlap":
        _overlap(rule, a, b, out)
    else:
        out.cells |= _WAYS[rule.how](rule, a, b)


def _overlap(rule: Rule, a: Row, b: Row, out: _Outcome) -> None:
    ends = [(float(row[rule.columns[0]]), float(row[rule.columns[1]])) for row in (a, b)]
    low, high = max(end[0] for end in ends), min(end[1] for end in ends)
    if high - low < LEAST_OVERLAP[rule.subject] - 1e-9:
        out.apart.append(rule.subject)
        low, high = min(ends, key=lambda end: (end[1] - end[0], end))
    widest = min(end[0] for end in ends), max(end[1] for end in ends)
    good_columns, widest_columns = rule.columns, tuple(f"widest_{c}" for c in rule.columns)
    for columns, values in ((good_columns, (low, high)), (widest_columns, widest)):
        out.cells |= dict(zip(columns, (f"{value:g}" for value in values), strict=True))


def _first(rule: Rule, a: Row, _b: Row) -> dict[str, str]:
    return {column: a[column] for column in rule.columns}


def _larger(rule: Rule, a: Row, b: Row) -> dict[str, str]:
    return {column: max(a[column], b[column], key=float) for column in rule.columns}


def _lengths(rule: Rule, a: Row, b: Row) -> dict[str, str]:
    low, usual, high = rule.columns
    return {
        low: min(a[low], b[low], key=float),
        usual: max(a[usual], b[usual], key=float),
        high: max(a[high], b[high], key=float),
    }


def _wider(rule: Rule, a: Row, b: Row) -> dict[str, str]:
    low, high = rule.columns
    return {low: min(a[low], b[low], key=float), high: max(a[high], b[high], key=float)}


def _union(rule: Rule, a: Row, b: Row) -> dict[str, str]:
    (column,) = rule.columns
    words: dict[str, str] = {}
    for word in (*split_cell(a[column]), *split_cell(b[column])):
        words.setdefault(singular(plain_name(word)), word)
    if column in SEVERAL_WORDS:
        ranked = [word for word in SEVERAL_WORDS[column] if word in words.values()]
        return {column: ";".join(ranked)}
    return {column: ";".join(words.values())}


def _more_careful(rule: Rule, a: Row, b: Row) -> dict[str, str]:
    (column,) = rule.columns
    return {column: max(a[column], b[column], key=rule.order.index)}


def _heavier(rule: Rule, a: Row, b: Row) -> dict[str, str]:
    (column,) = rule.columns
    length_cm = max(float(row["adult_cm"]) for row in (a, b))

    def mass_g(form: str) -> float:
        law = body_form(form)
        return float(law.a.value * length_cm**law.b.value)

    return {column: max(a[column], b[column], key=mass_g)}


_WAYS = {
    "first": _first,
    "larger": _larger,
    "lengths": _lengths,
    "wider": _wider,
    "union": _union,
    "more careful": _more_careful,
    "heavier": _heavier,
}


def _third_voice(out: _Outcome) -> None:
    """Of groups the table of limits has a say, too: the most careful of three stands."""
    told = {(row.name, row.quantity): row.group for row in animal_values() if row.group}
    orders = {rule.subject: rule.order for rule in RULES}
    for column, quantity in THIRD.items():
        group = told.get((out.cells["scientific_name"], quantity))
        if group is not None:
            order = orders[column]
            voices = [voice for voice in (out.cells[column], group) if voice]
            out.cells[column] = max(voices, key=order.index)


def _measured_groups(out: _Outcome) -> None:
    """A group that a published test of this very species decided stands over both reviews."""
    tested = {
        (row.name, row.quantity): row.group
        for row in animal_values()
        if row.group and row.quality == "published"
    }
    for column, quantity in MEASURED.items():
        group = tested.get((out.cells["scientific_name"], quantity))
        if group is not None:
            out.measured.append(column)
            out.cells[column] = group


def _grade(out: _Outcome, a: Row, b: Row) -> str:
    weighty = {rule.subject.replace(" ", "_") for rule in RULES if rule.weighty}
    count = len(weighty & set(out.differs))
    unsure = [row["confidence"] == "low" for row in (a, b)]
    if count >= WEAK_FROM or out.apart or all(unsure):
        return "weak"
    return "good" if count <= GOOD_UP_TO and not any(unsure) else "fair"


def _name_once(rows: Sequence[Merged], first: Sequence[Row], second: Sequence[Row]) -> None:
    """Give each trade name to one species: to that which both reviews call so, else to none."""

    def plain(cell: str) -> set[str]:
        return {singular(plain_name(name)) for name in split_cell(cell)}

    claims = Counter(name for row in rows for name in plain(row.cells["common_names"]))
    both = [plain(a["common_names"]) & plain(b["common_names"]) for a, b in zip(first, second)]  # noqa: B905 - merged above
    sure = Counter(name for names in both for name in names)
    scientific = {plain_name(row.cells["scientific_name"]) for row in rows}
    for row, agreed in zip(rows, both, strict=True):
        kept = [
            name
            for name in split_cell(row.cells["common_names"])
            if (key := singular(plain_name(name))) not in scientific
            and key != UNKNOWN
            and (claims[key] == 1 or (key in agreed and sure[key] == 1))
        ]
        row.cells["common_names"] = ";".join(kept)
