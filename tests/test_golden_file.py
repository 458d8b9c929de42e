"""A golden flight is rewritten in place: what comes out is replaced, what was typed and remarked is kept."""

from golden_file import flown
from scripted_dialogue import ScriptedDialogue

from assistant.conversation import Conversation
from assistant.engine.events import Priority


class Scripted:
    def __init__(self, procedure, flags):
        assert (procedure, flags) == ("procedures/zzzz.yaml", "--wind 250/15")
        self.conversation = Conversation(
            ScriptedDialogue(
                due={5.0: [(Priority.PREPARATION, "Prepare.")], 80.0: [(Priority.ACTION, "Turn.")]},
                answers={"next": [(Priority.ANSWER, "Next: arc.")]},
            )
        )


TYPED = """# A flight.
procedure: procedures/zzzz.yaml
setup: --wind 250/15

# he asks
0:10 PILOT next
00:10 ASSIST answer   Next: something else.
# nothing more
02:00 END
"""

FLOWN = """# A flight.
procedure: procedures/zzzz.yaml
setup: --wind 250/15
00:05 ASSIST prepare  Prepare.

# he asks
0:10 PILOT next
00:10 ASSIST answer   Next: arc.
01:20 ASSIST action   Turn.
# nothing more
02:00 END
"""


def test_what_comes_out_now_replaces_what_was_expected():
    assert flown(TYPED, "flight.txt", Scripted) == FLOWN


def test_a_file_that_is_right_stays_as_it_is():
    assert flown(FLOWN, "flight.txt", Scripted) == FLOWN
