"""The child that renders may hang, die or complain: the pilot gets a sound, or one sentence."""

import ctypes.util
import sys
import textwrap

import pytest

from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.rendering import PiperRenderer, Pyttsx3Renderer

WELL = """
import json, sys, wave
for line in sys.stdin:
    with wave.open(json.loads(line)["path"], "wb") as file:
        file.setnchannels(1); file.setsampwidth(2); file.setframerate(8000)
        file.writeframes(bytes(range(200)) * 16)
    print(json.dumps({"made": True}), flush=True)
"""


def child(tmp_path, program):
    path = tmp_path / "child.py"
    path.write_text(textwrap.dedent(program), encoding="utf-8")
    return (sys.executable, str(path))


@pytest.fixture
def rendering(tmp_path):
    made = []

    def renderer(program, **options):
        made.append(Pyttsx3Renderer(command=child(tmp_path, program), **options))
        return made[-1]

    yield renderer
    for each in made:
        each.close()


def test_sentence_after_sentence_is_rendered(rendering):
    renderer = rendering(WELL)

    assert [renderer.render(text).duration_s for text in ("One.", "Two.")] == [0.2, 0.2]


def test_a_child_that_dies_is_started_once_more(tmp_path, rendering):
    mark = tmp_path / "died"
    dies_once = f"""
import pathlib, sys
mark = pathlib.Path({str(mark)!r})
if not mark.exists():
    mark.touch()
    sys.exit(1)
{WELL}
"""

    assert rendering(dies_once).render("One.").duration_s == 0.2


def test_a_child_that_renders_an_empty_file_is_asked_again_in_a_new_one(tmp_path, rendering):
    """pyttsx3 was seen to say that it had finished before there was anything in the file."""
    mark = tmp_path / "empty"
    empty_once = f"""
import json, pathlib, sys
mark = pathlib.Path({str(mark)!r})
if not mark.exists():
    mark.touch()
    pathlib.Path(json.loads(sys.stdin.readline())["path"]).touch()
    print(json.dumps({{"made": True}}), flush=True)
{WELL}
"""

    assert rendering(empty_once).render("One.").duration_s == 0.2


def test_a_child_that_stops_writing_never_leaves_the_words_before_in_place_of_others(rendering):
    once = WELL.replace("for line in sys.stdin:", "for count, line in enumerate(sys.stdin):").replace(
        'open(json.loads(line)["path"]', 'open(json.loads(line)["path"] + ("" if count == 0 else "x")'
    )
    renderer = rendering(once)
    renderer.render("One.")

    # A new child, which writes its first sentence, is asked then.
    assert renderer.render("Two.").duration_s == 0.2


def test_a_child_is_replaced_after_so_many_sentences(tmp_path, monkeypatch, rendering):
    monkeypatch.setattr("assistant.adapters.speech_out.rendering.ORDERS_A_CHILD", 2)
    starts = tmp_path / "starts"
    renderer = rendering(f"open({str(starts)!r}, 'a').write('s')\n{WELL}")

    for _ in range(5):
        renderer.render("One.")

    assert starts.read_text(encoding="utf-8") == "sss"


def test_a_child_that_hangs_is_ended_and_told_of_in_a_sentence(rendering):
    hangs = "import sys, time\nfor line in sys.stdin: time.sleep(60)"

    with pytest.raises(VoiceUnavailable, match="does not answer"):
        rendering(hangs, answer_s=0.2).render("One.")


@pytest.mark.parametrize(
    ("failure", "sentence"),
    [
        ("ModuleNotFoundError: No module named 'pyttsx3'", "pyttsx3 is not installed"),
        ("RuntimeError: eSpeak or eSpeak-ng not installed", "eSpeak NG library is missing"),
        ("KeyError: 0", "could not be started"),
    ],
)
def test_what_the_child_lacks_is_told_with_what_to_do(rendering, failure, sentence):
    complains = f"""
        import json, sys
        for line in sys.stdin:
            print(json.dumps({{"failed": {failure!r}}}), flush=True)
    """

    with pytest.raises(VoiceUnavailable, match=sentence):
        rendering(complains).render("One.")


def test_a_child_that_says_it_made_a_sound_and_did_not_is_found_out(rendering):
    lies = "import sys\nfor line in sys.stdin: print('{\"made\": true}', flush=True)"

    with pytest.raises(VoiceUnavailable, match="rendered nothing"):
        rendering(lies).render("One.")


@pytest.mark.skipif(
    sys.platform == "linux" and ctypes.util.find_library("espeak-ng") is None,
    reason="needs eSpeak NG, which .ci/run installs",
)
def test_the_systems_own_voice_speaks_at_the_length_of_its_words():
    """Eight words at 170 a minute are 2.8 s; engines take that number with a grain of salt."""
    renderer = Pyttsx3Renderer()
    try:
        sound = renderer.render("Turn right heading two four five, descend now.")
        voices = renderer.voices()
    finally:
        renderer.close()

    assert 1.5 < sound.duration_s < 5.0
    assert [voice.is_english for voice in voices if voice.is_default] == [True]
    assert not any("Mandarin" in voice.name for voice in voices if voice.is_english)


@pytest.mark.skipif(
    sys.platform == "linux" and ctypes.util.find_library("espeak-ng") is None,
    reason="needs eSpeak NG, which .ci/run installs",
)
def test_a_voice_that_the_system_has_not_is_told_though_the_engine_would_take_another():
    renderer = Pyttsx3Renderer(voice="nobody/at-all")

    with pytest.raises(VoiceUnavailable, match=r"none of the id 'nobody/at-all'; `leadradial devices`"):
        renderer.render("One.")
    renderer.close()


def test_piper_is_run_as_a_program_and_missed_in_a_sentence(tmp_path):
    renderer = PiperRenderer(tmp_path / "voice.onnx", program="a-piper-that-is-not-there")

    with pytest.raises(VoiceUnavailable, match="piper is not installed"):
        renderer.render("One.")
    renderer.close()


PIPER = """#!{python}
import argparse, sys, wave
parser = argparse.ArgumentParser()
parser.add_argument("-m", "--model", required=True)
parser.add_argument("-f", "--output-file", "--output_file")
asked = parser.parse_args()
[sentence] = sys.stdin.buffer.read().decode().splitlines()
if not open(asked.model).read():
    sys.exit("no voice in the file")
with wave.open(asked.output_file, "wb") as made:
    made.setparams((1, 2, 22050, 0, "NONE", ""))
    made.writeframes(bytes(2 * 2205 * len(sentence.split())))
"""
"""The flags of piper-tts 1.8.0 (`piper --help`) that are used; a tenth of a second of nothing a word."""


@pytest.mark.skipif(sys.platform == "win32", reason="a script with a first line that names its program")
@pytest.mark.parametrize(("voice", "sentence"), [("a voice", None), ("", "made no sound with the voice")])
def test_piper_gets_a_line_and_a_voice_file_and_leaves_a_sound(tmp_path, voice, sentence):
    program, model = tmp_path / "piper", tmp_path / "voice.onnx"
    program.write_text(PIPER.format(python=sys.executable), encoding="utf-8")
    program.chmod(0o755)
    model.write_text(voice, encoding="utf-8")
    renderer = PiperRenderer(model, program=str(program))

    if sentence is None:
        assert renderer.render("Turn left now.").duration_s == pytest.approx(0.3)
    else:
        with pytest.raises(VoiceUnavailable, match=sentence):
            renderer.render("Turn left now.")
    renderer.close()
