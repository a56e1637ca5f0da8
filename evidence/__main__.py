"""Hold the posterior against truths it does not know, and write docs/evidence.md.

``python -m evidence`` runs what is not kept yet in ``out/evidence`` (the whole takes an hour or
two on two cores) and writes the page; ``--page-only`` writes it from what is kept; ``--anew``
forgets it first; ``--only`` runs no more than the sections named.
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
from evidence.sections import Provider, picture_of

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
    parts = [OPENING]
    for each in SECTIONS.values():
        section = each.section()
        parts += [f"## {section.title}", section.text]
        if section.pictures:
            parts.append(picture_of(section.pictures, PICTURES))
        for picture in section.pictures:
            picture.draw(folder / PICTURES)
    (folder / "evidence.md").write_text("\n\n".join(parts) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
