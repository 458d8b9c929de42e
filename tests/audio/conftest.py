"""A virtual loudspeaker and microphone for each test, and the command line with them."""

import pytest
from virtual_sound import VirtualSound


@pytest.fixture
def sound():
    made = VirtualSound()
    yield made
    made.close()


@pytest.fixture
def aloud(command, sound, tmp_path_factory):
    """The command line with that sound, and callouts kept from one test to the next."""
    cache = tmp_path_factory.getbasetemp() / "sounds"
    command._environment |= sound.environment | {"HOME": str(command.home), "XDG_CACHE_HOME": str(cache)}
    return command
