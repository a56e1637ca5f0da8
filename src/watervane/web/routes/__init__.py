"""One module a group of pages; each adds its routes here."""

from watervane.web.routes import (
    asked,
    blueprint,
    entrance,
    inside,
    long_asked,
    own,
    record,
    rehearsal,
    rounds,
    settings,
    setup,
    sharing,
    shell,
    static,
    tank,
    work,
)

ROUTES = (
    entrance.routes,
    static.routes,
    rounds.routes,
    record.routes,
    settings.routes,
    own.routes,
    setup.routes,
    sharing.routes,
    shell.routes,
    tank.routes,
    inside.routes,
    work.routes,
    rehearsal.routes,
    asked.routes,
    long_asked.routes,
    blueprint.routes,
)
