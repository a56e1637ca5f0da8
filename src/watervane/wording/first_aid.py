"""First aid in sentences: what to do, what to leave alone, what it may be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from watervane.records.first_aid import AidAnswers, FirstAid
from watervane.wording.amounts import listed, out_of_twenty
from watervane.wording.templates import phrase

DOSED = {"bind": "dechlorinate", "dechlorinate": "bind"}  # each a dose, often of one bottle
LIKELY, WORTH_NAMING = 3, 0.1


def aid_steps(told: FirstAid) -> list[str]:
    """What to do, in order."""
    return act_texts([act.key for act in told.acts], told.answers.tests)


def act_texts(keys: Sequence[str], tests: Mapping[str, str]) -> list[str]:
    """Acts in order; where one bottle may do two of them, the later says that it is one dose.

    Parameters
    ----------
    keys
        Of acts.
    tests
        Levels by what was read; of pH ``low``, ``middle`` or ``high``.
    """
    places = {key: number for number, key in enumerate(keys, 1)}
    return [_act_text(key, places, tests) for key in keys]


def _act_text(key: str, places: Mapping[str, int], tests: Mapping[str, str]) -> str:
    if key not in DOSED:
        return phrase(f"aid-act-{key}")
    other = DOSED[key]
    if other in places and places[other] < places[key]:
        dose = phrase(f"aid-dose-{key}-too", number=places[other])
    else:
        dose = phrase(f"aid-dose-{key}")
    if key != "bind":
        return phrase(f"aid-act-{key}", dose=dose)
    ph = tests.get("ph", "")
    then = "" if "ammonia" in tests else phrase("aid-neither-low-then")
    neither = phrase(f"aid-neither-{ph}" if ph else "aid-neither", then=then)
    return phrase(f"aid-act-{key}", dose=dose, neither=neither)


def aid_at_once(told: FirstAid) -> list[str]:
    """The first steps, which hold before anything more is answered."""
    return aid_steps(told)[: told.at_once]


def aid_numbered(told: FirstAid) -> list[str]:
    """The same with numbers."""
    return [
        phrase("aid-numbered", number=number, text=text)
        for number, text in enumerate(aid_steps(told), 1)
    ]


def aid_further(told: FirstAid, begun: FirstAid) -> list[str]:
    """The steps of an hour that come after what another told at once, numbered on from it."""
    first = [act.key for act in begun.acts[: begun.at_once]]
    rest = [act.key for act in told.acts if act.key not in first]
    return act_texts([*first, *rest], told.answers.tests)[len(first) :]


def aid_told(answers: AidAnswers) -> str:
    """What was answered, in one line; empty where nothing was."""
    parts = [aid_label("see", answers.see)] if answers.see else []
    parts += [aid_label("done", deed) for deed in answers.done]
    parts += [
        phrase(
            "aid-told-test", test=aid_label("test", test), level=aid_label(f"level-{test}", level)
        )
        for test, level in answers.tests.items()
    ]
    return phrase("aid-told", answers="; ".join(parts)) if parts else ""


def aid_no_change(told: FirstAid) -> list[str]:
    """Why no water is changed in this hour, and which answer may change that; none where it is."""
    if not told.no_change:
        return []
    causes = "; ".join(phrase(f"aid-cause-{cause}") for cause in told.no_change)
    sentences = [phrase("aid-no-change", causes=causes)]
    if not told.answers.done:
        sentences.append(phrase("aid-no-change-ask"))
    return sentences


def aid_left(told: FirstAid, *, brief: bool = False) -> list[str]:
    """What to leave alone in this hour; where no water is changed at all, that first.

    Parameters
    ----------
    told
        The hour.
    brief
        For paper, which no answer changes any more.
    """
    apart = ("big-change",) if told.no_change else ()
    left = [phrase(f"aid-left-{left.key}") for left in told.left if left.key not in apart]
    why = phrase("aid-no-change-paper") if brief else " ".join(aid_no_change(told))
    return [why, *left] if told.no_change else left


def aid_reasons(told: FirstAid) -> list[str]:
    """What it may be, what to read next, and what follows the hour."""
    *likely, then = aid_likely(told)
    return [*likely, *aid_next(told), then]


def aid_likely(told: FirstAid) -> list[str]:
    """What it may be, and what follows the hour."""
    likely = [cause for cause in told.causes if cause.share >= WORTH_NAMING][:LIKELY]
    sentences = [phrase("aid-partly")] if told.answers.partly else []
    if told.answers.see == "marks":
        sentences.append(phrase("aid-only-signs"))
    if likely:
        named = [
            phrase(
                "aid-likely-one",
                cause=phrase(f"aid-cause-{cause.key}"),
                share=out_of_twenty(cause.share),
            )
            for cause in likely
        ]
        sentences.append(phrase("aid-likely", causes=listed(named)))
    return [*sentences, phrase("aid-then")]


def aid_next(told: FirstAid) -> list[str]:
    """What to measure next."""
    tests = [_test_name(test) for test in told.next_tests[:2]]
    if not tests:
        return []
    if len(tests) == 1:
        return [phrase("aid-next-one", first=tests[0])]
    return [phrase("aid-next", first=tests[0], second=tests[1])]


def aid_places(told: FirstAid, listed_in: FirstAid) -> str:
    """The order of one answer, by the numbers that its steps have in another's list."""
    places = {act.key: number for number, act in enumerate(listed_in.acts, 1)}
    return ", ".join(str(places[act.key]) for act in told.acts if act.key in places)


def aid_cautions() -> list[str]:
    """What holds in every case: whom to call, and the keeper's own skin."""
    return [phrase("aid-vet"), phrase("aid-people")]


def aid_label(kind: str, key: str) -> str:
    """The words of one answer; ``kind`` is ``see``, ``done``, ``test`` or ``level-TEST``."""
    return phrase(f"aid-{kind}-{key}")


def _test_name(test: str) -> str:
    name = phrase(f"aid-test-{test}")
    return name if test == "ph" else name.lower()
