"""The flight models by name, and whether they can be had."""

from importlib.util import find_spec

MODELS = ("point", "jsbsim")


class ModelError(Exception):
    """A flight model that is not there, in one sentence with the remedy."""


def check_model(name: str) -> None:
    """ModelError where a model's library is missing."""
    if name == "jsbsim" and find_spec("jsbsim") is None:
        raise ModelError("The JSBSim flight model is not installed: pip install 'leadradial[sim]'.")
