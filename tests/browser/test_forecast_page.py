"""The page of a forecast in a real browser: on a telephone, on a desk, by day and by night."""

from __future__ import annotations

from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest
from opened_pages import NARROW, WIDE, Opened, Scheme, browser_program, listened_to
from playwright.sync_api import Browser, Page

Open = Callable[[int, Scheme], Opened]

WINDOWS: list[tuple[int, Scheme]] = [
    (NARROW, "light"),
    (NARROW, "dark"),
    (WIDE, "light"),
    (WIDE, "dark"),
]
USUAL = ((NARROW, "light"), (WIDE, "dark"))  # the others differ least from these
windows = pytest.mark.parametrize(
    ("width", "scheme"),
    [
        pytest.param(
            *each, marks=() if each in USUAL else pytest.mark.slow, id=f"{each[0]}-{each[1]}"
        )
        for each in WINDOWS
    ],
)
PANELS = 4
LEAST_CONTRAST = 4.5  # WCAG 2.2, success criterion 1.4.3, for text of usual size
LEAST_MARK_CONTRAST = 3.0  # WCAG 2.2, success criterion 1.4.11, for what a drawing tells
LEAST_LETTER_PX = 10.5

# What is drawn outside the svg's own box is cut off and never seen.
CUT_OFF = """svg => {
  const box = svg.getBoundingClientRect();
  return [...svg.querySelectorAll("text")].filter(each => {
    const own = each.getBoundingClientRect();
    return own.width && (own.left < box.left - 1 || own.right > box.right + 1
      || own.top < box.top - 1 || own.bottom > box.bottom + 1);
  }).map(each => each.textContent);
}"""
CROSSING = """svg => {
  const labels = [...svg.querySelectorAll(".role-axis-label text, .role-title text")]
    .filter(each => getComputedStyle(each).opacity !== "0" && each.getBoundingClientRect().width);
  const boxes = labels.map(each => [each.textContent, each.getBoundingClientRect()]);
  const found = [];
  boxes.forEach(([a, p], i) => boxes.slice(i + 1).forEach(([b, q]) => {
    if (p.left < q.right && q.left < p.right && p.top < q.bottom && q.top < p.bottom)
      found.push(a + " / " + b);
  }));
  return found;
}"""
# Labels of level lines that lie on each other, and such lines that run through one.
LEVELS_CROSSING = """svg => {
  const box = each => each.getBoundingClientRect();
  const labels = [...svg.querySelectorAll(".mark-text text")].filter(each =>
    / (over|under) [0-9]/.test(each.textContent) && !each.getAttribute("stroke"));
  const lines = [...svg.querySelectorAll("line[stroke-dasharray='6,3']")].map(box);
  const found = [];
  labels.forEach((each, place) => {
    const [text, own] = [each.textContent, box(each)];
    labels.slice(place + 1).forEach(other => {
      const its = box(other);
      if (own.left < its.right && its.left < own.right && own.top < its.bottom - 2
        && its.top < own.bottom - 2) found.push(text + " / " + other.textContent);
    });
    lines.forEach(line => {
      const y = line.top + line.height / 2;
      if (own.top + 3 < y && y < own.bottom - 3) found.push(text + " / line");
    });
  });
  return labels.length ? found : ["no labels"];
}"""
SMALLEST_LETTERS = """() => Math.min(...[...document.querySelectorAll("main *")]
  .filter(each => [...each.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
  .filter(each => each.getBoundingClientRect().width)
  .map(each => parseFloat(getComputedStyle(each).fontSize)))"""
COLOURS = """() => {
  const told = (place, name) => getComputedStyle(document.querySelector(place))[name];
  return {
    paper: told("body", "backgroundColor"),
    words: told("body", "color"),
    guide: told("figcaption", "color"),
    line: told("#chart .mark-line path", "stroke"),
    reading: told("#chart .mark-rule line[stroke-width='5']", "stroke"),
    label: told("#chart .role-axis-label text", "fill"),
  };
}"""


def luminance(colour: str) -> float:
    """Relative luminance of ``rgb(r, g, b)``, WCAG 2.2."""
    shares = [int(part) / 255 for part in colour.removeprefix("rgb(").removesuffix(")").split(",")]
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@windows
def test_it_opens_without_a_complaint_and_asks_for_nothing(
    opened: Open, page_file: Path, width: int, scheme: Scheme
) -> None:
    told = opened(width, scheme)
    assert told.complaints == []
    assert told.requests == [page_file.as_uri()]


def test_a_complaint_and_a_request_would_be_noticed(chromium: Browser, tmp_path: Path) -> None:
    path = tmp_path / "careless.html"
    path.write_text("<img src='missing.png' alt=''><script>console.warn('said')</script>")
    context = chromium.new_context(offline=True)
    told = listened_to(context.new_page())
    told.page.goto(path.as_uri())
    context.close()
    assert "warning: said" in told.complaints
    assert told.requests == [path.as_uri(), (tmp_path / "missing.png").as_uri()]


def test_the_policy_of_the_page_holds_a_request_back(chromium: Browser, page_file: Path) -> None:
    context = chromium.new_context(offline=True)
    told = listened_to(context.new_page())
    told.page.goto(page_file.as_uri())
    with told.page.expect_console_message() as heard:
        told.page.evaluate("new Image().src = 'other.png'")
    context.close()
    assert "Content Security Policy" in heard.value.text


def test_a_machine_without_a_browser_is_told_the_remedy() -> None:
    with pytest.raises(pytest.fail.Exception, match="apt-get install chromium"):
        browser_program("/nowhere/chromium")


@windows
def test_every_panel_is_drawn(opened: Open, width: int, scheme: Scheme) -> None:
    page = opened(width, scheme).page
    shapes = page.locator("#chart svg .mark-area path")
    lines = page.locator("#chart svg .mark-line path")
    assert shapes.count() == 2 * PANELS
    assert lines.count() == PANELS
    for path in [*shapes.all(), *lines.all()]:
        box = path.bounding_box()
        assert box is not None
        assert box["width"] > 0.8 * (width - 120) / (2 if width == WIDE else 1)
    assert page.locator("#chart svg .mark-rule line[stroke-width='5']").count() == 8


@windows
def test_nothing_must_be_scrolled_sideways(opened: Open, width: int, scheme: Scheme) -> None:
    page = opened(width, scheme).page
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate("document.body.scrollWidth") <= width
    drawing = page.locator("#chart svg").bounding_box()
    assert drawing is not None
    assert drawing["x"] >= 0
    assert drawing["x"] + drawing["width"] <= width


@windows
def test_tables_and_their_captions_are_seen_whole(opened: Open, width: int, scheme: Scheme) -> None:
    page = opened(width, scheme).page
    for region in page.locator(".scroll").all():
        hidden = region.evaluate("each => each.scrollWidth - each.clientWidth")
        # A font wider than ours may push the last column out; it can then be scrolled to.
        assert hidden <= (0 if width == WIDE else width / 8), region.get_attribute("aria-label")
        assert region.get_attribute("tabindex") == "0"
    for caption in page.locator("caption span").all():
        box = caption.bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= width


@windows
def test_no_word_of_the_drawing_is_cut_off_or_covered(
    opened: Open, width: int, scheme: Scheme
) -> None:
    drawing = opened(width, scheme).page.locator("#chart svg")
    assert drawing.evaluate(CUT_OFF) == []
    assert drawing.evaluate(CROSSING) == []
    assert drawing.evaluate(LEVELS_CROSSING) == []


@windows
def test_letters_are_large_enough(opened: Open, width: int, scheme: Scheme) -> None:
    assert opened(width, scheme).page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX


@windows
def test_words_and_marks_stand_out(opened: Open, width: int, scheme: Scheme) -> None:
    colours = opened(width, scheme).page.evaluate(COLOURS)
    paper = colours.pop("paper")
    assert (luminance(paper) < 0.05) == (scheme == "dark")
    for what, colour in colours.items():
        least = LEAST_MARK_CONTRAST if what in {"line", "reading"} else LEAST_CONTRAST
        assert contrast(colour, paper) >= least, what


@windows
def test_words_come_first_and_every_number_stands_in_a_table(
    opened: Open, width: int, scheme: Scheme
) -> None:
    page = opened(width, scheme).page
    words = page.locator(".words")
    assert "Nitrite will most likely peak" in words.inner_text()
    assert page.locator("h1").inner_text().startswith("Reading room")
    tables = page.locator("table")
    assert tables.count() == 4
    for table in tables.all():
        assert table.locator("caption").inner_text()
        assert table.locator("tbody tr").count() > 0
    told, drawn = words.bounding_box(), page.locator("#chart").bounding_box()
    assert told is not None
    assert drawn is not None
    assert (told["y"] < drawn["y"]) if width == NARROW else (told["x"] < drawn["x"])


@windows
def test_who_cannot_see_the_page_can_use_it(opened: Open, width: int, scheme: Scheme) -> None:
    page = opened(width, scheme).page
    assert broken_rules(page) == []


def test_a_broken_rule_would_be_found(chromium: Browser) -> None:
    page = chromium.new_page()
    page.set_content("<p style='color:#aaa;background:#fff'>pale</p><img src='data:,'>")
    found = " ".join(broken_rules(page))
    page.close()
    assert "color-contrast" in found
    assert "image-alt" in found


def broken_rules(page: Page) -> list[str]:
    """Every accessibility rule of axe-core that the page breaks, with the first place."""
    script = resources.files("axe_playwright_python").joinpath("axe.min.js")
    page.evaluate(script.read_text(encoding="utf-8"))
    # No style of another host could be loaded, and what is not broken need not be sent over.
    found = page.evaluate("""async () => {
      const told = await axe.run(document, {resultTypes: ["violations"], preload: false});
      const first = rule => rule.id + ": " + rule.nodes[0].html.slice(0, 120);
      return {kept: told.passes.length, broken: told.violations.map(first)};
    }""")
    assert found["kept"]
    broken: list[str] = found["broken"]
    return broken


def test_the_drawing_follows_the_window(chromium: Browser, page_file: Path) -> None:
    page = chromium.new_page(viewport={"width": 1000, "height": 700})
    page.goto(page_file.as_uri())
    drawing = page.locator("#chart svg")
    drawing.wait_for()
    page.set_viewport_size({"width": 500, "height": 700})
    page.wait_for_function("document.querySelector('#chart svg').clientWidth <= 500")
    assert page.evaluate("document.documentElement.scrollWidth") <= 500
    page.close()


def test_without_scripts_the_same_drawing_stands_still(chromium: Browser, page_file: Path) -> None:
    context = chromium.new_context(
        viewport={"width": NARROW, "height": 900}, java_script_enabled=False, color_scheme="dark"
    )
    page = context.new_page()
    page.goto(page_file.as_uri())
    drawing = page.locator(".still svg")
    assert drawing.is_visible()
    assert drawing.locator(".mark-area path").count() == 2 * PANELS
    context.close()


def test_on_paper_nothing_is_lost(chromium: Browser, page_file: Path) -> None:
    page = chromium.new_page()
    page.goto(page_file.as_uri())
    page.locator("#chart svg .mark-area path").first.wait_for()
    page.emulate_media(media="print")
    assert page.locator("#chart svg").is_visible()
    assert page.pdf(format="A4").startswith(b"%PDF")
    page.close()
