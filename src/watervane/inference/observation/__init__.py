"""How likely readings are, given the water: one observation model a file."""

from watervane.inference.observation.draw import draw, possible, written
from watervane.inference.observation.groups import (
    can_explain,
    is_series,
    latent_names,
    observation_models,
)
from watervane.inference.observation.model import ObservationModel, Seen, Uniform
from watervane.inference.observation.sample import bias_name

__all__ = [
    "ObservationModel",
    "Seen",
    "Uniform",
    "bias_name",
    "can_explain",
    "draw",
    "is_series",
    "latent_names",
    "observation_models",
    "possible",
    "written",
]
