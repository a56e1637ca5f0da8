"""How likely readings are, given the water: one observation model a file."""

from watervane.inference.observation.groups import latent_names, observation_models
from watervane.inference.observation.model import ObservationModel, Seen, Uniform
from watervane.inference.observation.sample import bias_name

__all__ = [
    "ObservationModel",
    "Seen",
    "Uniform",
    "bias_name",
    "latent_names",
    "observation_models",
]
