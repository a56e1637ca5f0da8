"""What a page asks, what was typed, and the lines it means; one module a kind of entry."""

from watervane.web.forms.fields import Field, Option, Told, filled_in
from watervane.web.forms.kinds import KINDS, FormKind, again_text, kind_of_entry

__all__ = [
    "KINDS",
    "Field",
    "FormKind",
    "Option",
    "Told",
    "again_text",
    "filled_in",
    "kind_of_entry",
]
