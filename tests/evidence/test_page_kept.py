"""A page written where some runs are not kept keeps what it told of them."""

from evidence.__main__ import NOT_HERE, told_before


def test_sections_without_runs_stay_and_say_so() -> None:
    page = "# Evidence\n\n## One\n\nA figure.\n\n## Two\n\nNothing was run yet: here is how.\n"
    once = told_before(page)
    assert set(once) == {"One"}
    assert once["One"].startswith("A figure.")
    again = told_before(f"# Evidence\n\n## One\n\n{once['One']}\n")
    assert again == once
    assert once["One"].count(NOT_HERE) == 1
