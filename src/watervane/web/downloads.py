"""What is made for a page's reader to keep: a file with a plain name."""

from __future__ import annotations

from starlette.responses import Response

from watervane.wording import phrase


def as_file(content: str | bytes, name: object, ending: str, kind: str) -> Response:
    """A file to keep, named after what it is of."""
    named = {"content-disposition": f'attachment; filename="{_file_name(name, ending)}"'}
    return Response(content, headers=named, media_type=kind)


def _file_name(name: object, ending: str) -> str:
    plain = "".join(each if each.isascii() and each.isalnum() else "-" for each in str(name))
    short = "-".join(part for part in plain.lower().split("-") if part)[:60]
    return f"{short or phrase('blueprint-unnamed').lower().replace(' ', '-')}{ending}"
