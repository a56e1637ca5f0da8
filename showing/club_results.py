"""Foretell and judge the tanks of the demo anew: ``python -m showing.club_results [NAME ...]``.

A worker does it in this process, as it would for any journal, as of the evening on which the
club's files end. What it kept is written to the package, for the demo to open with; with names of
files, such as ``hall-bench``, only those are made anew.
"""

from __future__ import annotations

import gzip
import json
import sys
import threading
import time
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from datetime import time as clock
from pathlib import Path

from watervane.app.club import Club, ClubTank, club_journal, found_club, results_of_club
from watervane.app.job_ports import WorkRequest
from watervane.app.working import work
from watervane.bootstrap import real_ports
from watervane.cli import clubbed
from watervane.records import JOB_KINDS, Job, Person

OUT = Path(clubbed.__file__).parent / clubbed.FOLDER / clubbed.RESULTS
EVENING = datetime.combine(clubbed.DAY, clock(20, 0), tzinfo=UTC)
BEGUN = time.monotonic()


def main(names: list[str]) -> None:
    """Found the club without results, compute, write."""
    shipped = dict(zip(clubbed.FILES, clubbed.shipped_club().tanks, strict=True))
    wanted = {name: shipped[name] for name in names or clubbed.FILES}
    made = _made([ClubTank(each.file, {}) for each in wanted.values()])
    # Read anew: another run may have written other tanks meanwhile.
    kept = {
        name: dict(each.results)
        for name, each in zip(clubbed.FILES, clubbed.shipped_club().tanks, strict=True)
    }
    kept |= {name: dict(made[name]) for name in wanted}
    told = json.dumps(kept, ensure_ascii=False, sort_keys=True).encode()
    OUT.write_bytes(gzip.compress(told, 9, mtime=0))
    print(f"{OUT.name}: {len(told) / 1e3:.0f} kB, packed {OUT.stat().st_size / 1e3:.0f} kB")
    lacking = [name for name, results in kept.items() if set(results) != set(JOB_KINDS)]
    if lacking:
        raise SystemExit(f"Without a forecast or a judgement: {', '.join(lacking)}")


def _made(tanks: list[ClubTank]) -> Mapping[str, Mapping[str, str]]:
    ports = real_ports()
    still = replace(ports.journal, now=lambda: EVENING)
    pages = replace(ports.pages, time_zone=lambda: "UTC")
    ports = replace(ports, journal=still, pages=pages)
    with club_journal(ports):
        # Founded as if a day later, so that the club's evening stays where it is.
        later = replace(still, now=lambda: EVENING + timedelta(days=1))
        move = found_club(Person(), Club(clubbed.DAY, tanks), replace(ports, journal=later))
        if move.days:
            raise RuntimeError(f"the club was moved by {move.days} days")
        work(WorkRequest(once=True, keep_current=True), ports, threading.Event(), _told)
        found = results_of_club(Person(), ports)
    return {name.lower().replace(" ", "-"): results for name, results in found.items()}


def _told(job: Job, tank: str) -> None:
    took = f"{time.monotonic() - BEGUN:6.0f} s"
    print(f"{took}  {tank}: {job.kind} {job.state} {job.why or ''}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
