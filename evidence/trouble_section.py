"""Trouble: the cause of 300 incidents and 100 healthy tanks, as the program ranks it.

``python -m evidence.trouble_section`` runs it and writes docs/evidence/trouble.md; ``--page-only``
writes the page from what is kept.
"""

from __future__ import annotations

import argparse
import itertools
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from evidence.keeping import PACKAGE, Kept, digest
from evidence.resting import rests_on
from evidence.sections import Picture, Section, picture_of, table
from evidence.trouble_incidents import FILE, healthy, incidents
from evidence.trouble_trial import RIGHT, judged
from watervane.reference.trouble import trouble_tables

PAGE = Path(__file__).resolve().parents[1] / "docs" / "evidence" / "trouble.md"
SEED, HEALTHY_TANKS, PARTS = 2026, 100, 8
DATA = Path(__file__).resolve().parents[1] / "src" / "watervane" / "reference" / "data"
TABLES = (FILE, *sorted(DATA.glob("trouble_*.csv")), *sorted(DATA.glob("aid_*.csv")))
KEPT = Kept(
    "trouble",
    digest([*rests_on(Path(__file__).with_name("trouble_trial.py")), *TABLES]),
)
EDGES = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
OPENING = """\
`watervane trouble` ranks causes. Here it is told 300 incidents whose cause is known and 100 tanks
in which nothing is wrong.

**Where the incidents come from.** Not from the program's tables. `evidence/trouble_bodies.toml`
says what happens to bodies (suffocation, burnt gills, brown blood, ulcers and so on), how
strongly each kind of trouble does it, which signs an injury shows, and how plainly keepers see a
sign. Whom it takes and who dies comes of species that bear things unlike; since when, of how fast
a mishap runs. The water comes of `evidence/trouble_tanks.py`: mass balances by the hour with
formulas of its own. Keepers own some kits of coarse steps, misread by 10 to 30 %, one reading in
33 is a stray; one deed in ten is forgotten, unrelated deeds and signs happen, one keeper in five
says nothing of deeds, three in ten not who or since when. A keeper who has noticed nothing does
not ask.

**How independent that is.** The same hand wrote both from memory, hours apart: another angle, not
another mind. Its counts of each kind are its own and not the program's priors. No keeper's real
case stands behind either table.

**What was tuned.** Before the seed told here was run once, incidents of the seeds 11 and 12 of
the same generator were looked at. After them: what is called a wrong reading has to be odd, usual
traces of ammonia and nitrite in grown tanks were widened to what kits show there, warming and
cooling want a thermometer's word, and air, conditioner and what binds ammonia go first while their
cause is still possible, and no deed left untold rules a cause out. In the generator, healthy tanks
were kept under 25 mg N/L of nitrate, colonies were given textbook half-saturations, and incidents
of which nothing could be seen or read were drawn again. No chance in the table of signs was
changed.

**What was mended since.** By other incidents (`evidence/trouble_other_bodies.toml`: strains on
parts of a body that add up and pass a threshold, so that signs hang together, with other waters,
kits and keepers), never by the ones told here: any water wanders a little from before to now, where
2 degrees less since last week had been taken for proof of cold tap water; changes with mains water
cool under each cause that comes by one; that animals look as usual and that no sign is named counts
one and a half times and not twice; one case in ten is none the tables know, in place of a power of
0.85 over all answers; an act of a minute goes first where its cause has one chance in two hundred,
not one in a hundred. On 400 of the other incidents that took what is left open of the true cause
from 1.94 to 1.90 bits, with the first right in 60 % before and after. Not helpful there and left
alone: a keeper who sees little or much as a second unknown that signs share, finer steps of how
hard it hits, weighing readings, signs and deeds unlike, five times the imagined waters.

**Two development sets.** What is changed is chosen by two other sets (`python -m
evidence.trouble_development`), never by the one told here, which is run once before and once after:
the other incidents above, and stories (`evidence/trouble_stories.toml`), in which a cause comes in
several stories, a story in turns of phrase that bring signs along together, and a keeper says no
more than a handful of things, the most striking first; kits there are a strip, drops and a case,
two of them in mg/L as the ion. Whoever wrote the stories had read the program's tables shortly
before, so they are less of a stranger to it than they should be. Changed with them in sight: a
usual water is one in which ammonia and nitrite do no harm, where in a new tank they were let pass
whatever pH was; ammonia comes with some nitrite, and harms from 0.015 mg NH3-N/L on; a tank's age
has no edges; an act of a minute goes first, too, where its cause has one chance in fifty with
answers worth half. Of those who ask, one and a half times as many are taken to have nothing wrong:
on the development sets that quiets 2 and 6 healthy tanks more in a hundred and costs less than one
first cause in a hundred. All together, on 400 incidents of either set: first right in 62 and 67 %
before and after, 1.89 to 1.86 and 1.53 to 1.48 bits left open (before the last of these changes),
right first acts 158 to 161 of 162, and no act that harms, with 91 changes of water. A fifth changed
wherever ammonia shows, though no limit is passed, harmed once there and was left out.

**What was not changed.** Over 90 % told is right less often here than told. Both development sets
show the opposite, so nothing was made less sure for it: that would be tuning to this set.

**Mended by reasoning.** What counted twice or could not be, whatever a set says of it: a change of
water moves KH, warmth and the rest towards the tap, so that a difference from before it is no jump
by itself; that newcomers suffer is no second proof that some came; what began days or weeks ago
came less likely of a deed of the last two days; newcomers from other water are a cause of their
own, while the tank's own water did not move; what rots goes by way of nitrite and breathes carbon
dioxide out; one animal is all there is, its kind and itself. KH and GH by drops are counted, not
compared with colours, and told so by the kits' tables. On 450 incidents of either development set,
before newcomers from other water were a cause: first right in 59.3 and 60.7 %, 67.1 and 68.9 %
before and after, among three in 80.4 and 80.2 %, 88.0 and 88.9 %; what is left open within one
standard error (1.91 to 1.92, 1.51 to 1.52 bits); healthy tanks quiet 70 and 70 %, 59 and 60 %,
alarmed 7.6 and 8.0 %, 12.0 and 11.6 %. Neither set knows of nitrite from what rots, nor that a
change of water moves anything but warmth.

**Before and after.** Just before these changes this set gave the true cause first in 58 %, among
the first three in 85 %, the right act within ten minutes in 98 % and 73 healthy tanks of 100 left
in peace; what it gives after them stands below. Within one standard error the ranking is what it
was, and not better: a few incidents fewer have the true cause first, and swings of pH are fewer
among three, as what moves KH is more often a change; what is told with over 90 % is right more
often. The set does not know newcomers from other water, which are ranked as a cause all the same,
and its changes by newcomers move the whole tank. The mends stay for their reasons."""
HEAD = ("truly", "incidents", "first", "first three", "told instead, most often")


def run(*, anew: bool, workers: int) -> None:
    """Judge what is not kept yet."""
    tasks = {f"part {n}": n for n in range(PARTS)}
    KEPT.complete(tasks, look, anew=anew, workers=workers)


def look(part: int) -> list[dict[str, object]]:
    """Every eighth incident and healthy tank."""
    everything = [*incidents(SEED), *healthy(SEED, HEALTHY_TANKS)]
    return [judged(each) for each in everything[part::PARTS]]


def section() -> Section:
    """Shares, a row a kind, reliability and first acts."""
    rows = [row for part in KEPT.found().values() for row in part]
    ill = [row for row in rows if row["kind"] != "healthy"]
    well = [row for row in rows if row["kind"] == "healthy"]
    if not ill:
        return Section("Trouble", f"{OPENING}\n\nNothing was run yet.")
    parts = [OPENING, _ranks(ill), _by_readings(ill), _kinds(ill), _reliability(ill)]
    parts += [_acts(ill), _well(well), *([KEPT.note()] * bool(KEPT.note()))]
    return Section("Trouble", "\n\n".join(parts), (_picture(ill),))


def _share(rows: Sequence[Mapping[str, Any]], within: int) -> float:
    return float(np.mean([0 < row["rank"] <= within for row in rows]))


def _ranks(rows: Sequence[Mapping[str, Any]]) -> str:
    error = 100.0 * float(np.sqrt(0.25 / len(rows)))
    top = [max(row["shares"].values()) for row in rows]
    lines = [
        ("true cause first", f"{100 * _share(rows, 1):.0f} %", "60 %"),
        ("among the first three", f"{100 * _share(rows, 3):.0f} %", "85 %"),
        ("chance told of the first, mean", f"{100 * np.mean(top):.0f} %", "as often right"),
    ]
    text = f"Of {len(rows)} incidents (one standard error is at most {error:.0f} %):"
    return f"## How often it is right\n\n{text}\n\n" + table(("", "measured", "aim"), lines)


def _by_readings(rows: Sequence[Mapping[str, Any]]) -> str:
    lines = []
    for name, low, high in (("none", 0, 0), ("one to three", 1, 3), ("four or more", 4, 99)):
        some = [row for row in rows if low <= row["readings"] <= high]
        if some:
            shares = (f"{100 * _share(some, n):.0f} %" for n in (1, 3))
            lines.append((name, len(some), *shares))
    return table(("readings", "incidents", "first", "first three"), lines)


def _kinds(rows: Sequence[Mapping[str, Any]]) -> str:
    lines = []
    for kind in dict.fromkeys(row["kind"] for row in sorted(rows, key=lambda row: row["kind"])):
        some = [row for row in rows if row["kind"] == kind]
        others = Counter(row["first"] for row in some if row["rank"] != 1).most_common(2)
        told = ", ".join(f"{name} ({count})" for name, count in others)
        right = (sum(0 < row["rank"] <= n for row in some) for n in (1, 3))
        lines.append((kind, len(some), *right, told))
    return "## By kind\n\n" + table(HEAD, lines)


def _pairs(rows: Sequence[Mapping[str, Any]]) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """Every chance told of every cause, and whether it was the one."""
    said = [(share, key == row["kind"]) for row in rows for key, share in row["shares"].items()]
    return np.array([s for s, _ in said]), np.array([hit for _, hit in said])


def _bins(rows: Sequence[Mapping[str, Any]]) -> list[tuple[str, int, float, float]]:
    said, hit = _pairs(rows)
    found = []
    for low, high in itertools.pairwise(EDGES):
        inside = (said >= low) & ((said < high) | (high == 1.0))
        if inside.any():
            name = f"{100 * low:.0f} to {100 * high:.0f} %"
            found.append((name, int(inside.sum()), said[inside].mean(), hit[inside].mean()))
    return found


def _reliability(rows: Sequence[Mapping[str, Any]]) -> str:
    lines = [
        (name, count, f"{100 * said:.1f} %", f"{100 * hit:.1f} %")
        for name, count, said, hit in _bins(rows)
    ]
    said, hit = _pairs(rows)
    brier = float(((said - hit) ** 2).sum() / len(rows))
    causes = len(trouble_tables().causes)
    score = float(np.mean([-np.log2(max(row["shares"].get(row["kind"], 0), 1e-9)) for row in rows]))
    text = (
        "Every chance told of every cause, against how often it was the cause. Brier score over "
        f"all causes {brier:.2f} (0 is perfect, {1 - 1 / causes:.2f} is one chance in {causes} for "
        f"each); {score:.2f} bits left on the true cause on the mean, of {np.log2(causes):.2f}."
    )
    head = ("told", "times", "mean told", "was so")
    return f"## Are the chances what they say?\n\n{text}\n\n" + table(head, lines)


def _acts(rows: Sequence[Mapping[str, Any]]) -> str:
    lines = []
    for kind, act in RIGHT.items():
        some = [row for row in rows if row["kind"] == kind]
        begun, first = (sum(row[key] for row in some) for key in ("right", "right at once"))
        lines.append((kind, act, len(some), begun, first))
    some = [row for row in rows if row["kind"] in RIGHT]
    begun = 100 * float(np.mean([row["right"] for row in some]))
    worse = [row for row in rows if row["harm at once"]]
    later = Counter(f"{act} in {row['kind']}" for row in rows for act in row["harm"])
    text = (
        "Right is the act that ends the harm, begun within ten minutes; *at once* where it is "
        "among the acts that first aid calls the shortest beginning. Harm is judged in the true "
        "water by what an act does to it (`evidence/trouble_trial.py`), not by the program's table."
    )
    told = (
        f"Begun within ten minutes in {begun:.0f} % (aim: 98 %). Incidents in which an act done at "
        f"once harms: {len(worse)} (aim: none). In the rest of the hour: "
        f"{', '.join(f'{name} ({count})' for name, count in later.items()) or 'none'}."
    )
    asked = [row for row in rows if row["asked"]]
    given = [row["changed"] for row in asked if row["changed"]]
    size = 100.0 * float(np.mean(given or [0.0]))
    told += (
        f" In {len(asked)} incidents a reading passes a limit that asks for a change of water. One "
        f"is given in {len(given)}, of {size:.0f} % on the mean, and counts among the acts judged "
        "above; in the others it says why not."
    )
    head = ("incident", "right act", "incidents", "within ten minutes", "at once")
    return f"## Is the first act right?\n\n{text}\n\n{table(head, lines)}\n\n{told}"


def _well(rows: Sequence[Mapping[str, Any]]) -> str:
    first = Counter(row["first"] for row in rows)
    quiet = first["nothing"] + first["kit-fault"]
    loud = [row for row in rows if row["alarmed"]]
    text = (
        f"Of {len(rows)} tanks in which nothing is wrong, whose keepers ask all the same, with "
        f"stray signs and unrelated deeds: {quiet} are told first that nothing is wrong or that a "
        "reading is "
        f"({first['nothing']} and {first['kit-fault']}). Alarmed without need, that is told of a "
        f"harm with one chance in two or more: {len(loud)}."
    )
    others = ", ".join(
        f"{name} ({count})" for name, count in first.most_common() if name != "nothing"
    )
    return f"## Tanks in which nothing is wrong\n\n{text} First told, other than nothing: {others}."


def _picture(rows: Sequence[Mapping[str, Any]]) -> Picture:
    values = [
        {"told": float(said), "so": float(hit), "times": count}
        for _, count, said, hit in _bins(rows)
    ]
    scale = {"domain": [0, 1]}
    axis = {"format": ".0%", "grid": False}
    spec = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "width": 320,
        "height": 320,
        "background": "#fcfaf5",
        "layer": [
            {
                "data": {"values": [{"a": 0, "b": 0}, {"a": 1, "b": 1}]},
                "mark": {"type": "line", "strokeDash": [4, 4], "color": "#777777"},
                "encoding": {
                    "x": {"field": "a", "type": "quantitative", "scale": scale},
                    "y": {"field": "b", "type": "quantitative", "scale": scale},
                },
            },
            {
                "data": {"values": values},
                "mark": {"type": "line", "point": True, "color": "#1f3a4d"},
                "encoding": {
                    "x": {"field": "told", "type": "quantitative", "title": "chance told",
                          "scale": scale, "axis": axis},
                    "y": {"field": "so", "type": "quantitative", "title": "was so",
                          "scale": scale, "axis": axis},
                },
            },
        ],
    }  # fmt: skip
    caption = (
        "Chance told of a cause against how often it was the cause; on the dashed line both agree"
    )
    return Picture("trouble_reliability", caption, spec)


def made_of() -> tuple[str, str]:
    """Of which tables, and of which reasoning, the page was made; tests hold it to them."""
    reasoning = sorted((PACKAGE / "advice").glob("trouble*.py"))
    return f"Made of tables `{digest(TABLES)}`", f"and of reasoning `{digest(reasoning)}`."


def write(page: Path) -> None:
    """Write the page and its picture from what is kept."""
    told = section()
    parts = [f"# {told.title}", told.text, " ".join(made_of())]
    if told.pictures:
        parts.append(picture_of(told.pictures, "."))
    for picture in told.pictures:
        picture.draw(page.parent)
    page.parent.mkdir(parents=True, exist_ok=True)
    page.write_text("\n\n".join(parts) + "\n", encoding="utf-8")


def main() -> None:
    """Run, then write the page."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--page-only", action="store_true", help="run nothing")
    options.add_argument("--anew", action="store_true", help="forget what is kept")
    options.add_argument("--workers", type=int, default=2, help="processes")
    told = options.parse_args()
    if not told.page_only:
        run(anew=told.anew, workers=told.workers)
    write(PAGE)


if __name__ == "__main__":
    main()
