"""Which vosk model is used: the one named, then the environment's, then what lies where models lie."""

import pytest
from command_line import TACAN
from hearing_fixtures import FOLDER

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.vosk_folders import model_folder


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("VOSK_MODEL_PATH", raising=False)
    return tmp_path


def model(folder):
    (folder / "am").mkdir(parents=True)
    (folder / "am" / "final.mdl").write_bytes(b"")
    return folder


def test_the_one_named_comes_before_the_environments_and_that_before_what_is_found(home, monkeypatch):
    named, environments = model(home / "named"), model(home / "environments")
    theirs = model(home / ".cache" / "vosk" / "vosk-model-small-en-us-0.15")
    model(home / ".cache" / "vosk" / "vosk-model-small-de-0.15")

    assert model_folder(None) == theirs
    ours = model(home / "data" / "leadradial" / "models" / "vosk-model-en-us-0.22-lgraph")
    assert model_folder(None) == ours
    monkeypatch.setenv("VOSK_MODEL_PATH", str(environments))
    assert model_folder(None) == environments
    assert model_folder(named) == named


def test_half_a_model_is_passed_over_where_nobody_named_it(home):
    (home / ".cache" / "vosk" / "vosk-model-small-en-us-0.15").mkdir(parents=True)

    with pytest.raises(HearingError, match="leadradial voice-model fetches one"):
        model_folder(None)


def test_a_folder_that_was_named_and_holds_none_is_one_sentence(home):
    with pytest.raises(HearingError, match="no such folder"):
        model_folder(home / "none")
    with pytest.raises(HearingError, match="holds no vosk model"):
        model_folder(home)


@pytest.mark.parametrize("final", [None, b"no model"])
def test_a_flight_goes_on_by_the_keyboard_without_its_model_and_says_so_in_one_sentence(
    command, tmp_path, final
):
    """An empty folder, and one whose model is damaged; vosk's own complaints stay off the screen."""
    folder = tmp_path / "model"
    (folder / "am").mkdir(parents=True)
    if final is not None:
        (folder / "am" / "final.mdl").write_bytes(final)
    recording = FOLDER / "festival-kal" / "09.flac"
    chosen = ("--recogniser", "vosk", "--model", str(folder), "--microphone", f"file:{recording}")
    outcome = command.pipe("radial 345, 26 DME, 4400, heading 165\nnext\n", "fly", TACAN, "--text", *chosen)

    assert outcome.status == 0
    assert outcome.err.count("\n") == 1
    assert outcome.err.endswith("unpack it again. Going on by the keyboard.\n")
    assert "Next: hold TARNO" in outcome.out
