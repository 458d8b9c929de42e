"""`leadradial sums`: figures from options or from the prompt, a mistake in one sentence with status 2."""

import io
import json
import sys

import pytest

from assistant.sums.questions import QUESTIONS

WIND = ("sums", "wind", "--track", "180", "--tas", "180", "--wind", "100/18")


@pytest.fixture
def typed(monkeypatch):
    """Lines on standard input, as if piped."""

    def put(*lines):
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    return put


def test_the_table_has_exact_value_rule_difference_and_source(command):
    """wind.ecqb_1 of the published values: heading 174, groundspeed 176; exact 174.3."""
    outcome = command.run(*WIND)

    lines = outcome.out.splitlines()
    assert outcome.status == 0
    assert lines[0].split() == ["exact", "rule", "of", "thumb", "difference"]
    assert lines[1].split() == ["heading", "174.3°", "174.0°", "[1]", "-0.3°"]
    assert lines[-1].startswith("Source: Wind triangle (FAA-H-8083-25")
    assert any(line.startswith("[1] the track less the drift") for line in lines)
    assert all(len(line) <= 110 for line in lines)


def test_json_has_the_same_figures_with_units(command):
    outcome = command.run(*WIND, "--json")

    answer = json.loads(outcome.out)
    heading = next(figure for figure in answer["figures"] if figure["name"] == "heading_mag_deg")
    assert heading["exact"] == pytest.approx(174.3, abs=0.05)
    assert heading["rule"] == 174.0
    assert heading["difference"] == pytest.approx(174.0 - heading["exact"], abs=1e-5)
    assert heading["unit"] == "°"
    assert answer["inputs"]["wind"] == {"from_deg": 100.0, "speed_kt": 18.0}
    assert answer["source"]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
def test_every_question_answers_the_example_of_its_help(command, question):
    told = command.run("sums", question.name, "--help").out
    example = next(line for line in told.splitlines() if f"leadradial sums {question.name} --" in line)

    outcome = command.run(*example.split()[1:])

    assert outcome.status == 0
    assert "Source: " in outcome.out
    assert all(f"--{item.option}" in told for item in question.inputs)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
def test_asked_at_the_prompt_it_answers_the_same(command, typed, question):
    typed(*(item.default or item.example for item in question.inputs))

    at_prompt = command.run("sums", question.name)

    assert at_prompt.status == 0
    assert at_prompt.out == command.run("sums", question.name, *question.example.split()).out


def test_enter_takes_what_is_offered_or_leaves_out_what_may_be(command, typed):
    typed("140", "", "")

    outcome = command.run("sums", "descent")

    assert outcome.out == command.run("sums", "descent", "--groundspeed", "140", "--angle", "3").out
    assert "descent angle, degrees [3]: " in outcome.err
    assert "Enter leaves it out" in outcome.err


def test_a_bad_answer_is_told_why_and_asked_again(command, typed):
    typed("361", "north", "", "180", "180", "100/18")

    outcome = command.run("sums", "wind", "--json")

    assert outcome.status == 0
    assert json.loads(outcome.out)["inputs"]["track_mag_deg"] == 180.0
    assert "track: 361 is not between 0 and 360" in outcome.err
    assert "track: 'north' is no number" in outcome.err
    assert "This one is wanted." in outcome.err
    assert outcome.err.count("track to make good") == 4


def test_answers_that_end_too_early_are_told_so(command, typed):
    typed("180")

    outcome = command.run("sums", "wind")

    assert outcome.status == 2
    assert outcome.out == ""
    assert outcome.err.splitlines()[-1] == "The answers ended before the tas was given."


@pytest.mark.parametrize(
    ("arguments", "phrase"),
    [
        (["wind", "--track", "243", "--tas", "150", "--wind", "361/10"], "no more than 360 degrees"),
        (["wind", "--track", "243", "--tas", "150", "--wind", "west"], "'west' is no wind"),
        (["wind", "--track", "243", "--tas", "150", "--wind", "5000:250/25"], "is for one level"),
        (["wind", "--track", "243", "--tas", "0", "--wind", "250/25"], "tas: 0 is not between 1 and 600"),
        (["wind", "--track", "243", "--tas", "nan", "--wind", "250/25"], "tas: 'nan' is no number"),
        (["wind", "--track", "243", "--tas", "20", "--wind", "243/25"], "A headwind of 25 kt stops"),
        (["wind", "--track", "243", "--tas", "20", "--wind", "333/25"], "A crosswind of 25 kt is more"),
        (["wind", "--track", "243"], "--tas is missing: true airspeed, knots, for example --tas 150."),
        (["slant", "--dme", "1", "--height", "7000"], "less than the height"),
        (["hold", "--course", "165", "--turn", "up", "--tas", "150", "--wind", "calm"], "'up' is not one of"),
        (["hold", "--course", "165", "--turn", "right", "--tas", "60", "--wind", "255/58"], "Three times"),
        (["altimeter", "--qnh", "400", "--elevation", "0"], "400 is no altimeter setting"),
        (["cold", "--temperature", "-60", "--height", "1500"], "-60"),
    ],
)
def test_what_cannot_be_answered_is_one_line_with_status_2(command, arguments, phrase):
    outcome = command.run("sums", *arguments)

    assert outcome.status == 2
    assert outcome.out == ""
    assert phrase in outcome.err
    assert len(outcome.err.splitlines()) == 1


def test_a_letter_is_enough_for_a_word_and_inches_for_a_setting(command):
    short = command.run("sums", "hold", "--course", "165", "--turn", "R", "--tas", "150", "--wind", "calm")
    inches = command.run("sums", "altimeter", "--qnh", "29.92", "--elevation", "0", "--json")

    assert short.status == 0
    # 29.92 x 33.86389 = 1013.21: the QFE at sea level is the QNH.
    assert json.loads(inches.out)["figures"][0]["exact"] == pytest.approx(1013.21, abs=0.01)


def test_the_group_lists_every_question(command):
    told = command.run("sums", "--help")

    assert told.status == 0
    assert "leadradial sums wind --track" in told.out
    for question in QUESTIONS:
        assert f"{question.name:<16}{question.about}" in told.out


def test_piped_lines_answer_as_a_program(command):
    outcome = command.pipe("180\n180\n100/18\n", "sums", "wind")

    assert outcome.status == 0
    assert "174.3°" in outcome.out
