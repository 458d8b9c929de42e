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


async def played(tape, stops_s, follow, understand):
    """Early hearing after the tape ran to each stop in turn."""
    early = EarlyHearing(tape, 0, FIRST, follow, understand)
    following = asyncio.create_task(early.follow())
    for stop_s in stops_s:
        tape.position = round(stop_s * RATE_HZ)
        for _ in range(5):
            await asyncio.sleep(0)
    following.cancel()
    return early


def held(tape, stops_s, released_s):
    """The sounds decoded while the tape runs to each stop, and what is used at the release."""
    decoded = []

    async def follow(*_): ...

    async def understand(_, sound, before_s):
        decoded.append((len(sound), before_s))
        return len(decoded)

    async def scene():
        early = await played(tape, stops_s, follow, understand)
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


def followed(tape, stops_s):
    """The presses and pieces given away while the tape runs to each stop."""
    given = []

    async def follow(number, at, sound, before_s):
        given.append((number, at, sound, before_s))

    async def understand(*_): ...

    async def scene():
        early = await played(tape, stops_s, follow, understand)
        return early.number

    return asyncio.run(scene()), given


def test_what_is_said_goes_to_the_listener_as_it_comes_every_sample_once_and_in_order():
    tape = Tape(0.6, 1.0, 0.6, 1.0)
    number, given = followed(tape, (0.6, 0.7, 1.2, 1.5))

    assert {(each, before_s) for each, _, _, before_s in given} == {(number, 0.6)}
    assert len(given) == 4
    assert np.array_equal(
        np.concatenate([sound for _, _, sound, _ in given]), tape.sound[: round(1.5 * RATE_HZ)]
    )
    assert [at for _, at, _, _ in given] == [0, *(round(stop * RATE_HZ) for stop in (0.6, 0.7, 1.2))]


def test_after_a_pause_it_goes_on_from_where_all_of_it_was_decided_about():
    tape = Tape(0.6, 1.0, 0.6, 1.0)
    _, given = followed(tape, (1.5, 1.9, 2.3, 2.6))
    (_, at, first, _), (_, further_at, _, _) = given[:2]
    decided = len(heard_part(tape.sound[: round(1.9 * RATE_HZ)], 0.6))

    assert (at, len(first)) == (0, round(1.5 * RATE_HZ))
    assert further_at == decided


def test_two_presses_have_two_numbers():
    assert followed(Tape(1.0), (0.5,))[0] != followed(Tape(1.0), (0.5,))[0]
