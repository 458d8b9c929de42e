"""What a plan can say is known before the flight: held against what the golden flights did say."""

import re

import pytest
from driver import ROOT, Flight

from assistant.adapters.transcript_file import read_transcript
from assistant.foreseen import foreseen, sentences_of

GOLDEN = sorted((ROOT / "tests" / "golden").glob("*.txt"))
BACK_TO_COURSE = re.compile("Heading .*, course ")


def said_in(path):
    """The words of the ASSIST lines of a golden flight."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line.split(maxsplit=3)[3] for line in lines if " ASSIST " in line]


def plan_of(path):
    timed = read_transcript(path.read_text(encoding="utf-8"), str(path))
    return Flight.with_flags(timed.procedure, " ".join(timed.setup)).plan


def test_a_text_parts_into_its_sentences_and_numbers_stay_whole():
    assert sentences_of("Minimum, five hundred QNH. Visual?") == ("Minimum, five hundred QNH.", "Visual?")


@pytest.mark.parametrize("path", GOLDEN, ids=lambda path: path.stem)
def test_what_golden_flights_say_of_their_plan_was_foreseen(path):
    known = set(foreseen(plan_of(path)))

    not_foreseen = [
        sentence for text in said_in(path) for sentence in sentences_of(text) if sentence not in known
    ]

    # Repeated after the pilot, given in flight, or back to a course that was left: no plan has those. Heights
    # due at the very edge of the profile, where a floor is passed, depend on where the pilot is.
    answers = ("Heard ", "Wind ", "QNH ", "QFE ")
    left = [
        sentence
        for sentence in not_foreseen
        if not sentence.startswith(answers) and not BACK_TO_COURSE.match(sentence)
    ]
    assert left == [] or (len(left) == 1 and "QNH at" in left[0])


def test_nearly_every_callout_of_the_golden_flights_needs_no_synthesis_at_its_moment():
    callouts = missed = 0
    for path in GOLDEN:
        known = set(foreseen(plan_of(path)))
        for text in said_in(path):
            callouts += 1
            missed += any(sentence not in known for sentence in sentences_of(text))

    assert missed / callouts < 0.015


def test_safety_comes_first_so_that_it_is_ready_first():
    sentences = foreseen(Flight("procedures/skarrow-tacan-24.yaml").plan)

    assert sentences[0].startswith("Climb")
    assert "Below minimum altitude." in sentences[:2]
