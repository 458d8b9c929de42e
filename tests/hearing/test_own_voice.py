"""A pilot's own voice: fitted to phrases with known words, kept, used, forgotten."""

import json
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pocketsphinx
import pytest
from hearing_fixtures import FOLDER, NAMES, recordings

from assistant.adapters.speech_in.acoustic_model import AcousticModel, acoustic_model, with_slopes
from assistant.adapters.speech_in.audio import read_audio, resampled, write_audio
from assistant.adapters.speech_in.choosing import recogniser as recogniser_named
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.own_voices import OwnVoice, keep_voice, kept_voice, voice_file
from assistant.adapters.speech_in.pocketsphinx_recogniser import PHONES, PocketsphinxRecogniser
from assistant.adapters.speech_in.spoken_grammar import spoken_grammar
from assistant.adapters.speech_in.voice_fitting import Timed, VoiceMap, fitted, unchanged
from assistant.language.grammar import grammar

SCOT = "espeak-scotland"
GROWN_UP, CHILD = "flite-slt", "child"
FASTER_HZ = 18_000
"""Taken for the rate of recordings made at 16 kHz: 1.125 times as fast, and as high."""
MODEL = Path(pocketsphinx.get_model_path(), "en-us", "en-us")


def test_a_voice_that_is_a_known_map_of_the_model_is_found():
    """Frames drawn near the model's means, stretched by 1.25 and moved by 3, give that map back."""
    chance = np.random.default_rng(4)
    means = chance.normal(0.0, 10.0, (2, 3, 40, 13))
    model = AcousticModel(sounds=("AA", "S"), means=means, variances=np.full(means.shape, 0.5))
    frames = {
        sound: 1.25 * means[at][:, chance.integers(0, 40, 400)] + 3.0 for at, sound in enumerate(("AA", "S"))
    }
    speech = [
        (each + chance.normal(0.0, 0.1, each.shape), (Timed(sound=sound, first=0, last=399),))
        for sound, each in frames.items()
    ]

    found = fitted(model, speech)
    moved = np.einsum("sij,psnj->psni", found.matrices, means) + found.offsets[None, :, None, :]

    # The truth moves a mean by 2.5 and more on the average; the hold towards the model costs a little of it.
    assert np.abs(moved - (1.25 * means + 3.0)).mean() < 0.1


def test_slopes_are_differences_over_four_frames_and_bends_of_those():
    """Of a straight line of 1 a frame the slope is 4 and the bend 0; of t squared the bend is 16."""
    at = np.arange(12.0)
    line, parabola = (with_slopes(np.repeat(values[:, None], 13, 1)) for values in (at, at**2))

    assert (line[1, 3:-3] == 4.0).all()
    assert (line[2, 3:-3] == 0.0).all()
    # ((t+3)^2 - (t-1)^2) - ((t+1)^2 - (t-3)^2) = (8t + 8) - (8t - 8)
    assert (parabola[2, 3:-3] == 16.0).all()


def test_the_model_has_every_sound_of_the_dictionary_and_silence():
    assert {*PHONES, "SIL"} <= set(acoustic_model(MODEL).sounds)


def test_a_folder_without_a_model_is_a_sentence(tmp_path):
    with pytest.raises(HearingError, match="not the acoustic model"):
        acoustic_model(tmp_path)


def test_a_voice_like_the_models_own_changes_no_score(recogniser):
    sound = read_audio(FOLDER / recordings("flite-rms", ["range"])[0]["file"])
    own = PocketsphinxRecogniser(unchanged())
    for each in (recogniser, own):
        each.prepare("all", spoken_grammar(grammar(NAMES)))

    plain = recogniser.decode("all", sound)
    assert own.decode("all", sound).text == plain.text
    assert own.decode("all", sound).score == pytest.approx(plain.score, abs=20.0)


def test_what_was_kept_is_what_is_read(tmp_path):
    fitted_map = VoiceMap(matrices=unchanged().matrices * 1.5, offsets=unchanged().offsets - 0.25)
    keep_voice(tmp_path / "voices" / "ada.json", OwnVoice(fitted=fitted_map, phrases=15))
    found = kept_voice(tmp_path / "voices" / "ada.json")

    assert found.phrases == 15
    assert (found.fitted.matrices == fitted_map.matrices).all()
    assert (found.fitted.offsets == fitted_map.offsets).all()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "not a voice"),
        ("[]", "not a voice"),
        ('{"version": 2, "phrases": 15, "matrices": [[1.0]], "offsets": [0.0]}', "not a voice"),
        ('{"version": 2, "phrases": 15, "kind": "x", "matrices": [], "offsets": []}', "not a voice"),
        ('{"version": 2, "phrases": 15, "matrices": [["a"]], "offsets": [0.0]}', "not a voice"),
        ('{"version": 0, "phrases": 15, "matrices": [], "offsets": []}', "made by another leadradial"),
    ],
)
def test_a_file_that_is_no_voice_is_a_sentence(tmp_path, content, said):
    path = tmp_path / "ada.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(HearingError, match=said):
        kept_voice(path)


def test_a_file_too_long_for_a_voice_is_not_read(tmp_path):
    path = tmp_path / "ada.json"
    keep_voice(path, OwnVoice(fitted=unchanged(), phrases=15))
    assert path.stat().st_size < 20_000
    path.write_bytes(path.read_bytes() + b" " * 100_000)  # still the same JSON

    with pytest.raises(HearingError, match="not a voice"):
        kept_voice(path)


@pytest.mark.parametrize("name", ["", "../ada", "a/b", ".hidden", "x" * 41])
def test_a_name_leads_nowhere_else(tmp_path, name):
    with pytest.raises(HearingError, match="give a pilot's name"):
        voice_file(tmp_path, name)


def test_vosk_cannot_be_fitted_and_says_so(tmp_path):
    with pytest.raises(HearingError, match="pocketsphinx only"):
        recogniser_named("vosk", None, print, tmp_path / "ada.json")


def test_known_words_are_followed_sound_by_sound(recogniser):
    """A range begins as "range" does, and no sound begins before the last has ended."""
    entry = next(e for e in recordings("flite-slt", ["range"]) if e["words"].startswith("range "))
    sounds = recogniser.sounds_of(entry["words"], read_audio(FOLDER / entry["file"]))

    assert [each.sound for each in sounds][:4] == ["R", "EY", "N", "JH"]
    assert all(one.last < other.first for one, other in pairwise(sounds))


@pytest.fixture
def enrolled(command, tmp_path):
    """
    A child has read the first half of its phrases; gives the folder of the others, with their list.

    It is a woman's voice played faster, so that all its resonances lie higher: of no kind that is known.
    """
    entries = [dict(entry) for entry in recordings(GROWN_UP) if entry["kind"] != "approach"]
    (tmp_path / CHILD).mkdir()
    for entry in entries:
        name = Path(entry["file"]).name
        write_audio(tmp_path / CHILD / name, resampled(read_audio(FOLDER / entry["file"]), FASTER_HZ))
        entry |= {"file": f"{CHILD}/{name}", "voice": CHILD}
    for name, some in (("read", entries[::2]), ("others", entries[1::2])):
        (tmp_path / name).mkdir()
        (tmp_path / name / CHILD).symlink_to(tmp_path / CHILD)
        (tmp_path / name / "manifest.jsonl").write_text(
            "".join(json.dumps(entry) + "\n" for entry in some), encoding="utf-8"
        )
    outcome = command.run("enrol", CHILD, "--from", tmp_path / "read")
    assert outcome.status == 0, outcome.err
    assert f"of {len(entries[::2])} phrases" in outcome.out
    return tmp_path / "others"


def test_a_child_is_heard_better_after_enrolment_and_as_before_once_forgotten(command, enrolled):
    """Phrases that were not read, nothing expected: of 26 many more right, and no more positions wrong."""

    def verdicts(*flags):
        outcome = command.run("hear", "--manifest", enrolled, "--json", *flags)
        assert outcome.status == 0, outcome.err
        found = [json.loads(line) for line in outcome.out.splitlines()]
        wrong = [each for each in found if each["verdict"] == "wrong"]
        positions = [
            each for each in wrong if any(event["event"] == "PositionReport" for event in each["events"])
        ]
        return [each["verdict"] for each in found].count("right"), len(positions)

    before, after = verdicts(), verdicts("--pilot", CHILD)
    assert after[0] > before[0] + 4
    assert after[1] <= before[1]

    assert "forgotten" in command.run("enrol", CHILD, "--forget").out
    gone = command.run("hear", "--manifest", enrolled, "--pilot", CHILD)
    assert gone.status == 2
    assert "leadradial enrol" in gone.err


def test_a_voice_that_the_disk_does_not_take_is_told_of_in_a_line(command, monkeypatch, tmp_path):
    (tmp_path / SCOT).symlink_to(FOLDER / SCOT)
    (tmp_path / "manifest.jsonl").write_text(json.dumps(recordings(SCOT)[0]) + "\n", encoding="utf-8")
    fitted_voice = OwnVoice(fitted=unchanged(), phrases=15)
    monkeypatch.setattr("assistant.adapters.speech_in.enrolment.learned", lambda *_: fitted_voice)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("assistant.adapters.speech_in.own_voices.keep_voice", full)
    outcome = command.run("enrol", SCOT, "--from", tmp_path)

    assert outcome.status == 2
    assert "could not be kept (No space left on device); see to that folder" in outcome.err


def test_without_the_recogniser_nothing_is_recorded(command, monkeypatch):
    monkeypatch.setitem(sys.modules, "pocketsphinx", None)
    outcome = command.run("enrol", "ada", "--microphone", "file:nowhere.wav")

    assert outcome.status == 2
    assert 'Hearing needs the extra "hearing"' in outcome.err


def test_too_few_phrases_are_refused_and_nothing_is_kept(command, tmp_path):
    (tmp_path / SCOT).symlink_to(FOLDER / SCOT)
    (tmp_path / "manifest.jsonl").write_text(json.dumps(recordings(SCOT)[0]) + "\n", encoding="utf-8")
    outcome = command.run("enrol", SCOT, "--from", tmp_path)

    assert outcome.status == 2
    assert "are needed" in outcome.err
    assert "No voice" in command.run("enrol", SCOT, "--forget").out


def test_recordings_of_somebody_else_are_not_taken(command, tmp_path):
    (tmp_path / "manifest.jsonl").write_text(json.dumps(recordings(SCOT)[0]) + "\n", encoding="utf-8")
    outcome = command.run("enrol", "ada", "--from", tmp_path)

    assert outcome.status == 2
    assert "no recordings of ada" in outcome.err
