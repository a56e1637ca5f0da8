"""A still drawing as a part of a page: there with the page's first words, by day and night."""

from __future__ import annotations

import re

# What a drawing says of its parts is told of the whole of it by the page.
_SPOKEN = re.compile(r' (?:role|aria-[a-z]+)="[^"]*"')
_FINE = re.compile(r"(\d\.\d)\d+")  # a tenth of a pixel is seen by nobody
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
    bare = _FINE.sub(r"\1", _SPOKEN.sub("", svg))
    named = _NAMED.sub(rf"\1{name}-\2", bare)
    return _ROOT.sub(rf'<svg class="{name}" aria-hidden="true" \1>', named, count=1)
