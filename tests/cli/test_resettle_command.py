"""``watervane resettle``: what is told of a move, and what is refused before anything is run."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from fake_ports import FakePorts
from sample_rehearsals import sample_rehearsals
from test_commands import call

from watervane.app import resettling
from watervane.engine.resettle import ways_of
from watervane.exchange.resettling_json import resettling_document
from watervane.planning.carrying_media import kept_shares, lent_share, steps
from watervane.records import Mishap
from watervane.records.resettling import ColonyMove, ResettledWay, Resettling
from watervane.wording.resettling import (
    resettling_sentences,
    resettling_steps,
    resettling_table,
    resettling_title,
)


def sample(move: ColonyMove) -> Resettling:
    told = sample_rehearsals([Mishap("power-cut", 8.0)])
    rehearsal = told.rehearsed[0]
    nitrite = replace(rehearsal.extremes[0], series="nitrite_mg_n_per_l")
    rehearsal = replace(rehearsal, extremes=(*rehearsal.extremes, nitrite))
    ways = tuple(
        ResettledWay(name, kept_shares(one), rehearsal) for name, one in ways_of(move).items()
    )
    return Resettling(
        told.tank,
        told.owner,
        told.as_of,
        28,
        move,
        ways,
        steps(move),
        told.diagnostics,
        lent_share(move),
    )


def test_each_way_has_a_row_and_the_way_asked_for_comes_first() -> None:
    for move, count in (
        (ColonyMove("house", hours=5.0, carried="damp"), 5),
        (ColonyMove("larger-tank", volume_l=180.0), 5),
        (ColonyMove("filter", share=0.5), 5),
        (ColonyMove("lend", share=0.3), 3),
    ):
        found = sample(move)
        table = resettling_table(found)
        assert len(table.rows) == count
        assert table.rows[0][0].startswith("As asked")
        assert len({row[0] for row in table.rows}) == count
        assert resettling_title(found).endswith(found.tank)
        assert "guess of ours" in resettling_sentences(found)[-1]
        text = " ".join(resettling_steps(found))
        assert "{" not in text
        assert "plug" in text


def test_a_larger_share_of_what_travels_badly_is_told() -> None:
    text = " ".join(resettling_sentences(sample(ColonyMove("house", hours=5.0, carried="dry"))))
    assert "17 % to 78 %" in text
    assert "dry for 5" in text
    none = " ".join(resettling_sentences(sample(ColonyMove("house", bed=False))))
    assert "old bed stays behind" in none
    lent = " ".join(resettling_sentences(sample(ColonyMove("lend", share=0.3))))
    assert "keeps 70 % of its colonies" in lent


def test_the_document_holds_every_way() -> None:
    document = json.loads(json.dumps(resettling_document(sample(ColonyMove("filter", share=0.5)))))
    assert document["format"] == "watervane-resettling/1"
    names = [each["name"] for each in document["ways"]]
    assert names == ["asked", "aired", "damp", "dry", "half-now"]
    assert document["ways"][0]["kept"]["filter"]["high"] == 0.5
    assert "mishap" not in document["ways"][0]


def test_the_command_hands_on_what_was_told_and_prints_steps(monkeypatch: Any) -> None:
    asked: list[resettling.MoveRequest] = []

    def worked_out(_tank: object, request: Any, *_rest: object) -> Resettling:
        asked.append(request)
        return sample(request.move)

    fake = FakePorts()
    plain = fake.ports
    monkeypatch.setattr(
        fake, "ports", lambda: replace(plain(), care=replace(plain().care, resettle=worked_out))
    )
    told = ("--what", "house", "--hours", "5", "--carried", "damp", "--old-water", "30")
    result = call(fake, "resettle", "x.tank.toml", *told)
    assert result.code == 0, result.err
    move = asked[0].move
    assert (move.kind, move.hours, move.carried, move.old_water) == ("house", 5.0, "damp", 0.3)
    assert "Moving house" in result.out
    assert "On the day" in result.out


def test_nonsense_is_refused_in_one_message() -> None:
    for told, text in (
        (("--what", "larger-tank"), "needs its size"),
        (("--what", "house", "--volume", "90"), "nothing moves into another tank"),
        (("--what", "house", "--hours", "900"), "between 0 and 72"),
        (("--what", "cellar"), "cellar"),
    ):
        result = call(FakePorts(), "resettle", "x.tank.toml", *told)
        assert result.code == 2, result.out
        assert text in " ".join(result.err.split())


def test_plugs_are_pulled_before_any_hand_goes_in() -> None:
    told = resettling_steps(sample(ColonyMove("house", hours=5.0, carried="damp")))
    plug = next(n for n, each in enumerate(told) if "Pull the plugs" in each)
    assert all("Feed nothing" in each or "day before" in each for each in told[:plug])
    assert plug < next(n for n, each in enumerate(told) if "Drain the tank" in each)
