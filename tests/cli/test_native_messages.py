"""Libraries are silenced on the pilot's screen; the program itself is not."""

PROGRAM = """
import os, sys
from assistant.cli.native_messages import native_messages_silenced
with native_messages_silenced():
    os.write(2, b"ALSA lib confmisc.c: pages of it")
    print("The loudspeaker is gone.", file=sys.stderr)
os.write(2, b"and heard again")
"""

REHEARSAL = """
import os
from pathlib import Path
from assistant.cli import rehearsed_flight
from assistant.cli.voice_options import VoiceOptions
from assistant.preferences.settings import Settings

class Voice:
    async def say(self, words, *, within_s):
        os.write(2, b"ALSA lib pcm.c: underrun occurred")
    def close(self):
        print("The voice is closed.")

rehearsed_flight.open_voice = lambda *_: Voice()
rehearsed_flight.run(
    Path("procedures/teskel-vortac-06.yaml"), Settings(),
    rate=400.0, demonstrates=True, every_s=60.0, from_deg=None, voice=VoiceOptions(),
)
"""


def test_a_librarys_complaint_is_dropped_and_our_sentence_arrives(command):
    assert command.python(PROGRAM).err == "The loudspeaker is gone.\nand heard again"


def test_a_closed_standard_error_is_no_trouble(command):
    program = f"import os\nos.close(2)\n{PROGRAM.replace('os.write(2', '(lambda *_: 0)(2')}"
    assert command.python(program.replace("print(", "(lambda *_, **__: 0)(")).status == 0


def test_a_rehearsal_aloud_shows_nothing_of_the_sound_librarys_complaints(command):
    done = command.python(REHEARSAL)

    assert done.status == 0, done.err
    assert "Next: initial approach fix KORVA" in done.out
    assert done.out.endswith("The voice is closed.\nEnded.\n")
    assert done.err == ""
