"""One module a group of pages; each adds its routes here."""

from watervane.web.routes import entrance, record, rounds, settings, static, tank

ROUTES = (
    entrance.routes,
    static.routes,
    rounds.routes,
    record.routes,
    settings.routes,
    tank.routes,
)
