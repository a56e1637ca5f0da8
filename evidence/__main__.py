"""Hold the posterior against truths it does not know, and write docs/evidence.md.

``python -m evidence`` runs what is not kept yet in ``out/evidence`` (the whole takes an hour or
two on two cores) and writes the page; ``--page-only`` writes it from what is kept; ``--anew``
forgets it first; ``--only`` runs no more than the sections named. Sections of which nothing is
kept here stay as the page has them, and say so.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

from evidence import (
    ablation_section,
    carried_section,
    closed_loop_section,
    exact_section,
    growth_section,
    hare_section,
    nuts_section,
    situations_section,
    skill_section,
    tank_section,
    telling_section,
    unfitting_section,
)
from evidence.sections import NOTHING_RUN, Provider, picture_of

DOCS = Path(__file__).resolve().parents[1] / "docs"
PICTURES = "evidence"
# In the order of the page. A new section is a module with `run` and `section`, named here.
SECTIONS: Mapping[str, Provider] = {
    "exact": exact_section,
    "hare": hare_section,
    "growth": growth_section,
    "nuts": nuts_section,
    "carried": carried_section,
    "tanks": tank_section,
    "skill": skill_section,
    "ablation": ablation_section,
    "unfitting": unfitting_section,
    "telling": telling_section,
    "situations": situations_section,
    "closed loop": closed_loop_section,
}
OPENING = """\
# Evidence

Is the posterior as sure as it says, and better than a rule of thumb? Written by `make evidence`
from what it ran; no figure here is typed in by hand."""

NOT_HERE = (
    "*Told as it was when last run: those runs are not kept where this page was last written, so "
    "whether later code would change them is not known.*"
)


def main() -> None:
    """Run, then write the page and its pictures."""
    options = argparse.ArgumentParser(prog="python -m evidence", description=__doc__)
    options.add_argument("--page-only", action="store_true", help="run nothing")
    options.add_argument("--anew", action="store_true", help="forget what is kept")
    options.add_argument("--only", nargs="+", choices=list(SECTIONS), help="run only these")
    options.add_argument("--workers", type=int, default=2, help="processes")
    options.add_argument("--out", type=Path, default=DOCS, help="folder of page and pictures")
    told = options.parse_args()
    for name, each in SECTIONS.items():
        if not told.page_only and (told.only is None or name in told.only):
            each.run(anew=told.anew, workers=told.workers)
    write(told.out)


def write(folder: Path) -> None:
    """Write the page and its pictures from what is kept.

    Parameters
    ----------
    folder
        Of the page; its pictures stand in a folder below.
    """
    page = folder / "evidence.md"
    before = told_before(page.read_text(encoding="utf-8")) if page.exists() else {}
    parts = [OPENING]
    for each in SECTIONS.values():
        section = each.section()
        if NOTHING_RUN in section.text and section.title in before:
            parts += [f"## {section.title}", before[section.title]]
            continue
        parts += [f"## {section.title}", section.text]
        if section.pictures:
            parts.append(picture_of(section.pictures, PICTURES))
        for picture in section.pictures:
            picture.draw(folder / PICTURES)
    page.write_text("\n\n".join(parts) + "\n", encoding="utf-8")


def told_before(page: str) -> dict[str, str]:
    """Sections of a page as it stands, by title, each saying that its runs are not here.

    Parameters
    ----------
    page
        Markdown.
    """
    found = {}
    for part in f"\n{page}".split("\n## ")[1:]:
        title, _, text = part.partition("\n")
        if NOTHING_RUN not in text:
            text = text.strip().removesuffix(NOT_HERE).strip()
            found[title] = f"{text}\n\n{NOT_HERE}"
    return found


if __name__ == "__main__":
    main()
