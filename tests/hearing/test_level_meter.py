"""How loud a microphone is, and what is said of it."""

import json

import numpy as np
import pytest

from assistant.adapters.speech_in.audio import RATE_HZ
from assistant.adapters.speech_in.level_meter import Faults, Level, LevelMeter, advice
from assistant.cli import metered
from assistant.cli.errors import UserError


def tone(rms, duration_s):
    """400 Hz: eight whole periods in each 20 ms, so that every level is the same."""
    time_s = np.arange(int(duration_s * RATE_HZ)) / RATE_HZ
    return (rms * np.sqrt(2.0) * np.sin(2.0 * np.pi * 400.0 * time_s)).astype(np.float32)


def measured(*parts, block=317):
    meter = LevelMeter()
    sound = np.concatenate(parts)
    for start in range(0, len(sound), block):
        meter.take(sound[start : start + block])
    return meter.level


def test_a_full_sine_is_3_db_below_full_scale():
    """Its mean square is one half: 10 lg 0.5 = -3.01 dB. Its peak is full scale, which is too loud."""
    level = measured(tone(np.sqrt(0.5), 1.0))

    assert level.now_db == pytest.approx(-3.01, abs=0.01)
    assert level.peak_db == pytest.approx(0.0, abs=0.01)
    assert level.is_clipped


def test_noise_and_what_stands_above_it_are_told_apart():
    """0.001 (-60 dB) with a third of the time 0.1 (-20 dB) over it."""
    level = measured(tone(0.001, 4.0), tone(0.1, 2.0), tone(0.001, 0.5))

    assert level.noise_db == pytest.approx(-60.0, abs=0.1)
    assert level.speech_db == pytest.approx(-20.0, abs=0.1)
    assert level.now_db == pytest.approx(-60.0, abs=0.1)
    assert not level.is_clipped


def test_before_anything_was_heard_there_is_silence():
    assert LevelMeter().level == Level(
        now_db=-100.0, peak_db=-100.0, noise_db=-100.0, speech_db=-100.0, is_clipped=False
    )


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ((np.zeros(RATE_HZ, dtype=np.float32),), "gives silence"),
        ((tone(0.001, 2.0), np.ones(RATE_HZ, dtype=np.float32)), "Too loud"),
        ((tone(0.001, 4.0),), "Nothing stands out"),
        ((tone(0.01, 4.0), tone(0.03, 2.0)), "only 10 dB above the noise"),  # 20 lg 3 = 9.5
        ((tone(0.0001, 4.0), tone(0.001, 2.0)), "Too quiet"),
        ((tone(0.001, 4.0), tone(0.1, 2.0)), "Good: speech stands 40 dB above the noise."),
    ],
)
def test_what_to_do_about_it_is_one_sentence(parts, sentence):
    said = advice(measured(*parts))

    assert sentence in said
    assert said.endswith(".")


def test_a_fault_of_the_level_is_told_once_and_good_speech_never():
    faults = Faults()
    good = np.concatenate([tone(0.001, 1.0), tone(0.1, 2.0)])
    loud = np.concatenate([tone(0.001, 1.0), tone(0.9, 2.0)])  # its peak is 0.9 * 1.41
    silent = np.zeros(RATE_HZ, dtype=np.float32)

    told = [faults.new(sound) for sound in (good, loud, silent, loud, silent, good)]

    assert [sentence.split(":")[0] for sentence in told] == [
        "",
        "Too loud",
        "The microphone gives silence",
        "",
        "",
        "",
    ]


def test_the_bar_has_one_width_whatever_the_level():
    lines = [
        metered.bar(
            Level(now_db=now_db, peak_db=now_db, noise_db=noise_db, speech_db=0.0, is_clipped=is_clipped)
        )
        for now_db in (-100.0, -43.0, 0.0)
        for noise_db in (-100.0, -60.0, 0.0)
        for is_clipped in (False, True)
    ]

    assert len({len(line) for line in lines}) == 1
    assert lines[0].startswith("[|" + " " * 39 + "]")
    assert lines[-1].count("#") == 39


class Headset:
    """A microphone that gives three seconds at once to whoever follows it: two of noise, one of speech."""

    name = "headset"

    def __init__(self, _name, _tell):
        pass

    def follow(self, on_block):
        for number, level in enumerate((0.001, 0.001, 0.1)):
            on_block(
                (level * (-1.0) ** np.arange(RATE_HZ)).astype(np.float32),
                number * RATE_HZ,
            )

    def close(self):
        pass


@pytest.fixture
def headset(monkeypatch):
    monkeypatch.setattr(metered, "Microphone", Headset)


@pytest.mark.usefixtures("headset")
def test_the_meter_says_whether_the_microphone_will_do(capsys):
    metered.show_level("headset", 0.0, as_json=False)

    first, *_, last = capsys.readouterr().out.splitlines()
    assert first == "headset: speak now, as in flight; 0 s."
    assert last == "Good: speech stands 40 dB above the noise."


@pytest.mark.usefixtures("headset")
def test_the_meter_has_figures_for_scripts(capsys):
    metered.show_level(None, 0.0, as_json=True)

    found = json.loads(capsys.readouterr().out)
    assert found["microphone"] == "headset"
    assert found["noise_db"] == pytest.approx(-60.0, abs=0.1)
    assert found["speech_db"] == pytest.approx(-20.0, abs=0.1)
    assert found["is_clipped"] is False


def test_a_meter_without_a_microphone_is_one_line(monkeypatch):
    def missing(*_):
        raise metered.HearingError("This machine has no microphone.")

    monkeypatch.setattr(metered, "Microphone", missing)

    with pytest.raises(UserError, match=r"^This machine has no microphone\.$"):
        metered.show_level(None, 1.0, as_json=False)
