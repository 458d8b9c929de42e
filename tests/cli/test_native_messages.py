"""Libraries are silenced on the pilot's screen; the program itself is not."""

PROGRAM = """
import os, sys
from assistant.cli.native_messages import native_messages_silenced
with native_messages_silenced():
    os.write(2, b"ALSA lib confmisc.c: pages of it")
    print("The loudspeaker is gone.", file=sys.stderr)
os.write(2, b"and heard again")
"""


def test_a_librarys_complaint_is_dropped_and_our_sentence_arrives(command):
    assert command.python(PROGRAM).err == "The loudspeaker is gone.\nand heard again"


def test_a_closed_standard_error_is_no_trouble(command):
    program = f"import os\nos.close(2)\n{PROGRAM.replace('os.write(2', '(lambda *_: 0)(2')}"
    assert command.python(program.replace("print(", "(lambda *_, **__: 0)(")).status == 0
