"""One module a group of pages; each adds its routes here."""

from watervane.web.routes import entrance, rounds, settings, static

ROUTES = (entrance.routes, static.routes, rounds.routes, settings.routes)
