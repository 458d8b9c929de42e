"""What is said, decoded as soon as the pilot has gone quiet: the same as at the release, or not used."""

import asyncio

import numpy as np
import pytest

from assistant.adapters.speech_in import early_hearing
from assistant.adapters.speech_in.early_hearing import EarlyHearing
from assistant.adapters.speech_in.end_of_speech import heard_part

RATE_HZ = 16_000
FIRST = round(0.6 * RATE_HZ)


class Tape:
    """A microphone whose position the test moves."""

    def __init__(self, *parts_s):
        """Noise and tone by turns, of so many seconds each."""
        chance = np.random.default_rng(2)
        parts = []
        for number, part_s in enumerate(parts_s):
            time_s = np.arange(round(part_s * RATE_HZ)) / RATE_HZ
            parts.append(0.3 * (number % 2) * np.sin(2.0 * np.pi * 1000.0 * time_s))
        whole = np.concatenate(parts)
        self.sound = (whole + chance.normal(0.0, 0.001, len(whole))).astype(np.float32)
        self.position = 0

    def between(self, first, last):
        return self.sound[first : min(last, self.position)]


@pytest.fixture(autouse=True)
def _looked_always(monkeypatch):
    monkeypatch.setattr(early_hearing, "_LOOKED_EVERY_S", 0.0)


def held(tape, stops_s, released_s):
    """The sounds decoded while the tape runs to each stop, and what is used at the release."""
    decoded = []

    async def understand(sound, before_s):
        decoded.append((len(sound), before_s))
        return len(decoded)

    async def scene():
        early = EarlyHearing(tape, 0, FIRST, understand)
        following = asyncio.create_task(early.follow())
        for stop_s in stops_s:
            tape.position = round(stop_s * RATE_HZ)
            for _ in range(5):
                await asyncio.sleep(0)
        following.cancel()
        tape.position = round(released_s * RATE_HZ)
        found = early.until(tape.position)
        return None if found is None else await found

    return asyncio.run(scene()), decoded


def test_who_has_gone_quiet_is_decoded_before_the_release_and_exactly_so_as_after_it():
    tape = Tape(0.6, 1.0, 1.4)
    used, decoded = held(tape, (1.0, 1.6, 1.9, 2.2, 2.5), 2.8)

    assert decoded == [(len(heard_part(tape.sound, 0.6)), 0.6)]
    assert used == 1


def test_who_still_speaks_is_not_decoded():
    assert held(Tape(0.6, 1.0, 1.0), (0.8, 1.0, 1.5), 1.6) == (None, [])


def test_what_was_decoded_in_a_pause_is_not_used_where_more_is_said():
    tape = Tape(0.6, 1.0, 0.6, 1.0, 0.6)
    used, decoded = held(tape, (1.6, 2.0, 2.5), 3.0)

    assert (used, len(decoded)) == (None, 1)


def test_who_goes_on_after_a_pause_and_stops_is_decoded_anew_whole():
    tape = Tape(0.6, 1.0, 0.6, 1.0, 0.8)
    used, decoded = held(tape, (1.6, 2.0, 3.0, 3.7), 3.8)

    assert used == len(decoded) == 2
    assert decoded[-1][0] == len(heard_part(tape.sound, 0.6))


def test_where_nothing_was_said_nothing_is_decoded():
    assert held(Tape(2.0), (1.0, 1.5), 2.0) == (None, [])
