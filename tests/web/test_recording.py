"""Forms: kept in one commit, or back on the same page with what was typed and what is wrong."""

from __future__ import annotations

import io
import re

import pytest
from fake_ports import FakePorts
from PIL import Image
from starlette.testclient import TestClient

from watervane.app import add_tank, open_tank
from watervane.records import (
    Clean,
    Died,
    Dose,
    Entry,
    EquipmentChange,
    Feed,
    Habit,
    MediaMoved,
    Note,
    Outage,
    Person,
    Seed,
    Span,
    TopOff,
    Treatment,
)
from watervane.wording import entry_label

NAME = "Study"
WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")
AT = {"day": "2026-03-10", "hour": "19:30"}
KIT = (
    "kits.drop.ammonia.steps=['0', '0.3', '0.7', '1.5']",
    "kits.drop.ammonia.unit=mg/L as N",
)


@pytest.fixture
def tank(fake: FakePorts) -> str:
    return add_tank(Person(), fake.ports(), name=NAME, words=WORDS).receipt.tank


def entries(fake: FakePorts) -> tuple[Entry, ...]:
    return open_tank(Person(), NAME, fake.ports(), 100).entries


def asking(page: str) -> str:
    found = re.search(r'name="request" value="([^"]+)"', page)
    assert found is not None
    return found[1]


def test_each_kind_has_a_form_and_keeps_what_is_told(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    told = {
        "readings": {"ammonia": "0.7", "ammonia-basis": "n", "ph": "7.4", "kh": "5"},
        "feed": {"amount": "1 pinch", "every": "1 d"},
        "change": {"size": "15 L", "conditioner": "no"},
        "animals": {"what": "animals-in", "species": "Danio rerio", "count": "4", "length": "2.5"},
        "dose": {"substance": "conditioner"},
        "seed": {"source": "media", "volume": "0.3 L", "condition": "rinsed in tank water"},
        "clean": {"part": "filter", "how": "tank water"},
        "outage": {"duration": "4 h", "what": "all"},
        "top-off": {"volume": "2", "water": "pure", "every": "1 d"},
        "treatment": {"substance": "copper sulfate", "kill": "20 to 50 %"},
        "media": {"share": "a third"},
        "equipment": {"heater_set_point": "26", "light_hours": "9,5"},
        "note": {"text": "The water is clear.\nNobody hides."},
    }
    for kind, typed in told.items():
        page = keeper.get(f"/tank/{tank}/record/{kind}")
        assert page.status_code == 200
        sent = {**typed, **AT, "request": asking(page.text)}
        answer = keeper.post(f"/tank/{tank}/record/{kind}", data=sent)
        assert answer.status_code == 303, (kind, answer.text)
        shown = keeper.get(answer.headers["location"].partition("#")[0])
        assert 'id="kept"' in shown.text
    kept = [entry.what for entry in entries(fake)]
    labels = [entry_label(what) for what in kept]
    assert labels[:3] == ["ammonia 0.7 mg/L as N", "pH 7.4", "KH 5 dKH"]
    assert "water change 26 %" in labels
    kinds = [type(what.template if isinstance(what, Habit) else what) for what in kept[3:]]
    assert {Feed, Dose, Seed, Clean, Outage, Note} < set(kinds)
    assert {TopOff, Treatment, MediaMoved, EquipmentChange} < set(kinds)
    assert "heater set to 26 °C, light for 9.5 h a day" in labels
    assert "33 % of the media moved" in labels
    (treated,) = (what for what in kept if isinstance(what, Treatment))
    assert treated.colony_kill == Span(0.2, 0.5)
    (topped,) = (
        what
        for what in kept
        if isinstance(what, Habit)
        and what.template.note == ""
        and isinstance(what.template, TopOff)
    )
    assert (topped.template.volume_l, topped.template.pure) == (2.0, True)
    assert all(f"{what.at:%Y-%m-%d %H:%M}" == "2026-03-10 19:30" for what in kept[:3])


def test_what_is_wrong_comes_back_beside_its_field_with_all_that_was_typed(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    typed = {"ammonia": "7 bananas", "nitrite": "0.3 mg/L", "ph": "acid", "request": "a1", **AT}
    answer = keeper.post(f"/tank/{tank}/record/readings", data=typed)
    page = answer.text
    assert answer.status_code == 422
    assert entries(fake) == ()
    for name in ("ammonia", "ph"):
        assert f'id="{name}-wrong"' in page
        assert re.search(rf'id="{name}"[^>]*aria-invalid="true"[^>]*aria-describedby', page)
    assert 'id="nitrite-wrong"' not in page
    for value in ("7 bananas", "0.3 mg/L", "acid", "2026-03-10", "19:30", "a1"):
        assert f'value="{value}"' in page
    right = {**typed, "ammonia": "0.7 mg/L", "ph": "7"}
    assert keeper.post(f"/tank/{tank}/record/readings", data=right).status_code == 303
    assert len(entries(fake)) == 3


@pytest.mark.parametrize(
    ("kind", "typed", "field"),
    [
        ("animals", {"what": "animals-in", "species": "Danio rerio", "count": "four"}, "count"),
        ("animals", {"what": "animals-in", "species": "", "count": "4"}, "species"),
        ("animals", {"what": "animals-in", "species": "x", "count": "1", "length": "x"}, "length"),
        ("feed", {"amount": "a lot"}, "amount"),
        ("change", {"size": "120 %"}, "size"),
        ("change", {"size": "900 L"}, "size"),
        ("change", {"size": ""}, "size"),
        ("dose", {"substance": "moonlight"}, "substance"),
        ("dose", {"substance": "conditioner", "amount": "much"}, "amount"),
        ("seed", {"source": "media", "volume": "a bit"}, "volume"),
        ("outage", {"duration": "long"}, "duration"),
        ("top-off", {"volume": "a jug", "water": "plain"}, "volume"),
        ("media", {"share": "most"}, "share"),
        ("media", {"share": ""}, "share"),
        ("media", {"share": "130 %"}, "share"),
        ("treatment", {"substance": ""}, "substance"),
        ("treatment", {"substance": "copper sulfate", "kill": "some"}, "kill"),
        ("treatment", {"substance": "copper sulfate", "kill": "50 to 20 %"}, "kill"),
        ("equipment", {"heater_set_point": "warm"}, "heater_set_point"),
        ("equipment", {"light_hours": "25"}, "light_hours"),
        ("equipment", {"air_flow": "60 W"}, "air_flow"),
        ("note", {"text": ""}, "text"),
        ("note", {"text": "x", "day": "yesterday"}, "day"),
        ("note", {"text": "x", "hour": "noon"}, "hour"),
        ("note", {"text": "x", "day": "2020-01-01"}, "day"),
    ],
)
def test_a_wrong_value_is_told_at_its_own_field(
    keeper: TestClient, fake: FakePorts, tank: str, kind: str, typed: dict[str, str], field: str
) -> None:
    answer = keeper.post(f"/tank/{tank}/record/{kind}", data={**AT, **typed, "request": "a"})
    assert answer.status_code == 422
    assert f'id="{field}-wrong"' in answer.text
    assert entries(fake) == ()


def test_nothing_told_is_said_so(keeper: TestClient, tank: str) -> None:
    answer = keeper.post(f"/tank/{tank}/record/readings", data=AT)
    assert answer.status_code == 422
    assert "Nothing was told" in answer.text


def test_a_form_sent_twice_is_kept_once(keeper: TestClient, fake: FakePorts, tank: str) -> None:
    sent = {"text": "Once.", **AT, "request": "same"}
    first = keeper.post(f"/tank/{tank}/record/note", data=sent)
    second = keeper.post(f"/tank/{tank}/record/note", data=sent)
    assert first.headers["location"] == second.headers["location"]
    assert len(entries(fake)) == 1
    other = keeper.post(f"/tank/{tank}/record/note", data={**sent, "text": "Other."})
    assert other.status_code == 422
    assert len(entries(fake)) == 1


def test_the_steps_of_a_kit_are_offered_as_plain_text(keeper: TestClient, fake: FakePorts) -> None:
    key = add_tank(Person(), fake.ports(), name="Kits", words=(*WORDS, *KIT)).receipt.tank
    page = keeper.get(f"/tank/{key}/record/readings").text
    steps = re.findall(r'<input type="radio" name="ammonia" value="([^"]*)"', page)
    assert steps[0] == ""
    assert steps[1:] == ["0 mg/L as N", "0.3 mg/L as N", "0.7 mg/L as N", "1.5 mg/L as N"]
    sent = {"ammonia": steps[3], **AT, "request": "a"}
    assert keeper.post(f"/tank/{key}/record/readings", data=sent).status_code == 303
    (entry,) = open_tank(Person(), "Kits", fake.ports()).entries
    assert (entry.what.value.low, entry.what.kit) == (0.7, "drop")


def test_what_was_done_last_fills_the_forms_of_upkeep(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    first = keeper.get(f"/tank/{tank}/record/equipment").text
    assert "So far" not in first
    for kind, typed in (
        ("top-off", {"volume": "1.5 L", "water": "plain"}),
        ("media", {"share": "1/3"}),
        ("treatment", {"substance": "praziquantel", "kill": "10"}),
        ("equipment", {"heater_set_point": "77 degF", "heater_power": "100"}),
    ):
        sent = keeper.post(f"/tank/{tank}/record/{kind}", data={**typed, **AT})
        assert sent.status_code == 303, (kind, sent.text)
    assert 'value="1.5 L"' in keeper.get(f"/tank/{tank}/record/top-off").text
    assert 'value="plain" checked' in keeper.get(f"/tank/{tank}/record/top-off").text
    assert 'value="33.33 %"' in keeper.get(f"/tank/{tank}/record/media").text
    treatment = keeper.get(f"/tank/{tank}/record/treatment").text
    assert 'value="praziquantel"' in treatment
    assert 'value="10 %"' in treatment
    machines = keeper.get(f"/tank/{tank}/record/equipment").text
    assert "So far 25 °C." in machines
    assert "So far 100 W." in machines
    assert "Topped up 1.5 L" in keeper.get(f"/tank/{tank}/record").text
    keeper.post(f"/tank/{tank}/again/top-off", data={"request": "again", **AT})
    topped = [entry.what for entry in entries(fake) if isinstance(entry.what, TopOff)]
    assert [(each.volume_l, each.conditioner) for each in topped] == [(1.5, False)] * 2
    nothing = keeper.post(f"/tank/{tank}/record/equipment", data=AT)
    assert nothing.status_code == 422
    assert "Nothing was told" in nothing.text


@pytest.mark.parametrize(
    ("kind", "typed", "right", "label"),
    [
        ("top-off", {"volume": "2 L", "water": "pure"}, {"volume": ""}, "topped off"),
        ("media", {"share": "half"}, {"share": "20 %"}, "20 % of the media moved"),
        ("treatment", {"substance": "x", "kill": "30"}, {"substance": "salt"},
         "treatment with salt"),
        ("equipment", {"heater_set_point": "26", "air_flow": "60"}, {"air_flow": "90"},
         "heater set to 26 °C, air at 90 L/h"),
        ("equipment", {"media": "1 L ceramic, 0 L foam", "bed_material": "sand", "bed_grain": "1"},
         {"bed_depth": "4", "plants": "few"},
         ("1 L of ceramic in the filter, foam out of the filter, bed of sand, bed 4 cm deep, "
          "grains of 1 mm, few plants")),
    ],
)  # fmt: skip
def test_upkeep_is_put_right_on_its_own_form(
    keeper: TestClient, fake: FakePorts, tank: str, kind: str, typed: dict[str, str],
    right: dict[str, str], label: str,
) -> None:  # fmt: skip
    keeper.post(f"/tank/{tank}/record/{kind}", data={**typed, **AT})
    (entry,) = entries(fake)
    page = keeper.get(f"/tank/{tank}/entry/{entry.number}").text
    filled = dict(re.findall(r'<input id="([a-z_]+)"[^>]* value="([^"]*)"', page))
    filled |= dict(re.findall(r'type="radio" name="([a-z]+)" value="([^"]*)" checked', page))
    chosen = r'<select [^>]*name="([a-z_]+)"[^>]*>(?:\s*<option value="[^"]*">[^<]*</option>)*'
    filled |= dict(re.findall(chosen + r'\s*<option value="([^"]*)" selected', page))
    sent = keeper.post(f"/tank/{tank}/entry/{entry.number}", data={**filled, **right})
    assert sent.status_code == 303, sent.text
    assert [entry_label(each.what) for each in entries(fake) if each.standing] == [label]


def test_habits_fill_the_next_form_in(keeper: TestClient, tank: str) -> None:
    keeper.post(f"/tank/{tank}/record/change", data={"size": "40 %", "conditioner": "no", **AT})
    keeper.post(f"/tank/{tank}/record/feed", data={"amount": "2 pellets", **AT})
    keeper.post(
        f"/tank/{tank}/record/readings", data={"nitrite": "0.1", "nitrite-basis": "ion", **AT}
    )
    change = keeper.get(f"/tank/{tank}/record/change").text
    assert 'value="40 %"' in change
    assert re.search(r'value="no" checked', change)
    assert 'value="2 pellets"' in keeper.get(f"/tank/{tank}/record/feed").text
    readings = keeper.get(f"/tank/{tank}/record/readings").text
    assert re.search(r'name="nitrite-basis".*?value="ion" selected', readings, re.DOTALL)


def test_a_photo_is_kept_without_anything_beside_it(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    drawn = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(drawn, "png")
    files = {"photo": ("../../etc/evil.png", drawn.getvalue(), "image/png")}
    answer = keeper.post(
        f"/tank/{tank}/record/note", data={"text": "Look", **AT, "request": "p"}, files=files
    )
    assert answer.status_code == 303
    (entry,) = entries(fake)
    path = f"/tank/{tank}/entry/{entry.number}/photo"
    assert f'<img src="{path}" alt="Photo: Look"' in keeper.get(f"/tank/{tank}").text
    photo = keeper.get(path)
    assert photo.headers["content-type"] == "image/jpeg"
    assert photo.headers["x-content-type-options"] == "nosniff"
    assert Image.open(io.BytesIO(photo.content)).size == (40, 30)


def test_a_photo_that_is_none_is_told_and_nothing_kept(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    files = {"photo": ("x.png", b"<html>", "image/png")}
    answer = keeper.post(f"/tank/{tank}/record/note", data={"text": "Look", **AT}, files=files)
    assert answer.status_code == 422
    assert "Look</textarea>" in answer.text
    assert entries(fake) == ()


def test_an_entry_is_put_right_on_its_own_form(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    keeper.post(f"/tank/{tank}/record/readings", data={"ammonia": "7", "ammonia-basis": "n", **AT})
    (wrong,) = entries(fake)
    page = keeper.get(f"/tank/{tank}/entry/{wrong.number}").text
    assert 'value="7 mg/L as N"' in page
    assert 'id="nitrite"' not in page
    assert 'value="2026-03-10"' in page
    sent = {"ammonia": "0.7 mg/L as N", **AT, "request": asking(page)}
    answer = keeper.post(f"/tank/{tank}/entry/{wrong.number}", data=sent)
    assert answer.status_code == 303
    (right,) = entries(fake)
    assert right.corrects == wrong.key
    assert entry_label(right.what) == "ammonia 0.7 mg/L as N"
    assert keeper.get(f"/tank/{tank}/entry/{wrong.number}").status_code == 404
    whole = keeper.get(f"/tank/{tank}/log").text
    assert "<s>ammonia 7 mg/L as N</s>" in whole


def test_what_was_kept_can_be_undone_at_once(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    answer = keeper.post(f"/tank/{tank}/record/animals", data={
        "what": "died", "species": "Danio rerio", "count": "1", **AT})  # fmt: skip
    (entry,) = entries(fake)
    assert isinstance(entry.what, Died)
    page = keeper.get(answer.headers["location"].partition("#")[0]).text
    assert f"/tank/{tank}/entry/{entry.number}/undo" in page
    undone = keeper.post(f"/tank/{tank}/entry/{entry.number}/undo", data={"request": "u"})
    assert undone.status_code == 303
    assert entries(fake) == ()


def test_a_usual_week_is_one_tap(keeper: TestClient, fake: FakePorts, tank: str) -> None:
    page = keeper.get(f"/tank/{tank}/record").text
    assert keeper.post(f"/tank/{tank}/usual", data={"request": asking(page)}).status_code == 303
    (entry,) = entries(fake)
    assert isinstance(entry.what, Note)


def test_what_was_done_last_is_recorded_again_by_one_tap(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    assert "/again/" not in keeper.get(f"/tank/{tank}/record").text
    assert keeper.post(f"/tank/{tank}/again/feed", data={}).status_code == 404
    keeper.post(f"/tank/{tank}/record/feed", data={"amount": "2 pellets", "every": "1 d", **AT})
    keeper.post(f"/tank/{tank}/record/change", data={"size": "40 %", "conditioner": "no", **AT})
    page = keeper.get(f"/tank/{tank}/record").text
    assert "Fed 2 pellets" in page
    assert "Changed 40 % of the water" in page
    for kind in ("feed", "change"):
        sent = {"request": f"again-{kind}"}
        assert keeper.post(f"/tank/{tank}/again/{kind}", data=sent).status_code == 303
    *_, meal, change = (entry.what for entry in entries(fake))
    assert isinstance(meal, Feed)
    assert meal.raw == "2 pellets"
    assert (round(change.fraction, 2), change.conditioner) == (0.4, False)
    assert keeper.post(f"/tank/{tank}/again/note", data={}).status_code == 404


def test_the_only_tank_is_not_asked_for(keeper: TestClient, tank: str) -> None:
    assert keeper.get("/record").headers["location"] == f"/tank/{tank}/record"


@pytest.mark.parametrize("path", ["record/moon", "entry/999", "entry/999/photo"])
def test_what_is_not_there_is_lost(keeper: TestClient, tank: str, path: str) -> None:
    assert keeper.get(f"/tank/{tank}/{path}").status_code == 404
    assert keeper.get("/tank/unknown").status_code == 404
