"""The two development sets of trouble, by the measures of the evidence; nothing is kept of it.

``python -m evidence.trouble_development`` prints a table. What changes the reasoning is chosen by
these, and the set of docs/evidence/trouble.md is run before and after, once each.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from evidence.trouble_other_incidents import other_healthy, other_incidents
from evidence.trouble_stories import story_healthy, story_incidents
from evidence.trouble_trial import RIGHT, judged

SETS = {"other": (other_incidents, other_healthy), "stories": (story_incidents, story_healthy)}
SURE = (0.7, 0.8, 0.9)


def main() -> None:
    """Judge, and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--set", choices=tuple(SETS), action="append", dest="sets")
    options.add_argument("--seed", type=int, default=40)
    options.add_argument("--count", type=int, default=300)
    options.add_argument("--rows", type=Path, help="where all that was judged is written")
    options.add_argument("--confused", action="store_true", help="which is taken for which")
    asked = options.parse_args()
    kept = []
    for name in asked.sets or SETS:
        ill, well = SETS[name]
        rows = [judged(each) for each in ill(asked.seed, asked.count)]
        quiet = [judged(each) for each in well(asked.seed, asked.count // 2)]
        print(f"{name:8s} {summary(rows, quiet)}")  # noqa: T201 - what it is for
        if asked.confused:
            print(confusions(rows, quiet))  # noqa: T201 - what it is for
        kept += [{"set": name, **row} for row in (*rows, *quiet)]
    if asked.rows:
        asked.rows.write_text(json.dumps(kept), encoding="utf-8")


def summary(rows: Sequence[Mapping[str, Any]], quiet: Sequence[Mapping[str, Any]]) -> str:
    """One line: ranks, what is left open, how sure it is told, first acts, healthy tanks."""
    ranks = np.array([row["rank"] or 99 for row in rows])
    top = np.array([max(row["shares"].values()) for row in rows])
    bits = [-np.log2(max(row["shares"].get(row["kind"], 0.0), 1e-6)) for row in rows]
    acute = [row for row in rows if row["kind"] in RIGHT]
    sure = ", ".join(f">{s:.1f}: {np.mean(ranks[top >= s] == 1):.2f}/{np.mean(top[top >= s]):.2f}"
                     f" ({(top >= s).sum()})" for s in SURE)  # fmt: skip
    asked = [row for row in rows if row["asked"]]
    given = [row["changed"] for row in asked if row["changed"]]
    firsts = [row["first"] in ("nothing", "kit-fault") for row in quiet]
    return (
        f"first {np.mean(ranks == 1):.3f} three {np.mean(ranks <= 3):.3f} bits {np.mean(bits):.3f} "
        f"said {top.mean():.3f} | {sure} | acts {sum(r['right'] for r in acute)}/{len(acute)} "
        f"harm {sum(bool(r['harm at once']) for r in rows)}+{sum(bool(r['harm']) for r in rows)} | "
        f"changes {len(given)}/{len(asked)} of {np.mean(given or [0]):.2f} | "
        f"quiet {np.mean(firsts):.3f} alarmed {np.mean([r['alarmed'] for r in quiet]):.3f}"
    )


def confusions(rows: Sequence[Mapping[str, Any]], quiet: Sequence[Mapping[str, Any]]) -> str:
    """By kind: how often first and among three, and what is told instead."""
    lines = []
    for kind in sorted({row["kind"] for row in rows}):
        some = [row for row in rows if row["kind"] == kind]
        others = Counter(row["first"] for row in some if row["rank"] != 1).most_common(4)
        first, three = (sum(0 < row["rank"] <= n for row in some) for n in (1, 3))
        lines.append(f"  {kind:16s} {len(some):3d} {first:3d} {three:3d}  {others}")
    lines.append(f"  healthy: {Counter(row['first'] for row in quiet).most_common()}")
    return "\n".join(lines)


if __name__ == "__main__":
    main()
