"""A still drawing as a part of a page: there with the page's first words, by day and night."""

from __future__ import annotations

import re

# What a drawing says of its parts is told of the whole of it by the page.
_SPOKEN = re.compile(r' (?:role|aria-[a-z]+)="[^"]*"')
_FINE = re.compile(r"-?\d+\.\d+")
_COURSE = re.compile(r' d="[^"]+"')
_NAMED = re.compile(r'(id="|url\(#)(clip|gradient)')
_ROOT = re.compile(r"<svg [^>]*?(width=\"[^\"]+\" height=\"[^\"]+\" viewBox=\"[^\"]+\")>")


def within_page(svg: str, name: str) -> str:
    """A drawing in names of colours, to stand in a page whose style sheet knows these names.

    Parameters
    ----------
    svg
        As the drawing library makes it.
    name
        Tells what it refers to within itself from that of other drawings of the page.
    """
    bare = _COURSE.sub(_halves, _SPOKEN.sub("", svg))
    named = _NAMED.sub(rf"\1{name}-\2", bare)
    return _ROOT.sub(rf'<svg class="{name}" aria-hidden="true" \1>', named, count=1)


def _halves(course: re.Match[str]) -> str:
    """A path to half a pixel: finer than its line is broad, and a third less to send."""
    return _FINE.sub(lambda each: f"{round(2.0 * float(each[0])) / 2.0:g}", course[0])
