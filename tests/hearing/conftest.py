"""One recogniser for all tests of hearing: loading it is the slow part."""

import pytest
from hearing_fixtures import NAMES

from assistant.adapters.speech_in.listener import Listener
from assistant.adapters.speech_in.pocketsphinx_recogniser import PocketsphinxRecogniser


@pytest.fixture(scope="session")
def recogniser():
    return PocketsphinxRecogniser()


@pytest.fixture
def listener(recogniser):
    return Listener(recogniser, NAMES)
