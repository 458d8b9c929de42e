"""Which vosk model is used: the one named, then the environment's, then what lies where models lie."""

import pytest

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
