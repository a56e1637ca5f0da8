"""One module a group of pages; each adds its routes here."""

from watervane.web.routes import entrance, record, rounds, settings, setup, static, tank, work

ROUTES = (
    entrance.routes,
    static.routes,
    rounds.routes,
    record.routes,
    settings.routes,
    setup.routes,
    tank.routes,
    work.routes,
)
