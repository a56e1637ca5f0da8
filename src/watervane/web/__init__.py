"""Pages in a browser: parse what was sent, call one use case, render."""

from watervane.web.application import make_app
from watervane.web.gate import Gate
from watervane.web.serving import serve

__all__ = ["Gate", "make_app", "serve"]
