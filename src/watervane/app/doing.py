"""A step that was chosen, as the line that tells it was done."""

from __future__ import annotations

from watervane.app.keeping import Line
from watervane.records import Act
from watervane.wording import short_act

# Of entries that tell that a step was done.
DONE_KINDS = frozenset(
    {"water-change", "feed", "clean", "dose", "seed", "animals-out", "equipment", "note"}
)
SALT, SODA = "sodium chloride", "sodium bicarbonate"


def line_of_act(act: Act) -> Line:
    """What to record once a step was done; what no event can tell becomes a note."""
    match act.kind:
        case "change":
            return Line("water-change", (f"fraction={100 * act.amount:.3g}%", "conditioner=yes"))
        case "fast":
            return Line("feed", ("amount=0",))
        case "clear":
            return Line("clean", ("part=waste",))
        case "condition":
            return Line("dose", ("substance=conditioner",))
        case "salt":
            return Line("dose", (f"substance={SALT}", f"amount={act.amount:.4g} g"))
        case "buffer":
            return Line("dose", (f"substance={SODA}", f"amount={act.amount:.4g} g"))
        case "zeolite":
            return Line("dose", ("substance=zeolite", f"amount={act.amount:.4g} g"))
        case "seed":
            return Line("seed", ("source=media", f"volume={act.amount:.3g} L"))
        case "move-out":
            return Line("animals-out", (f"species={act.what}", f"count={act.amount:.0f}"))
        case "air":
            return Line("equipment", (f"air_flow={act.amount:.4g} L/h",))
        case "warm" | "cool":
            return Line("equipment", (f"heater_set_point={act.amount:.4g} degC",))
    return Line("note", (f"text={short_act(act)}",))
