"""The driver flies what the command line flies."""

from driver import ROOT, Flight

from assistant.adapters.transcript_file import read_transcript
from assistant.conversation import play

TACAN = "procedures/skarrow-tacan-24.yaml"


def test_a_flight_hears_answers_and_keeps_time():
    flight = Flight(TACAN)

    assert flight.stage == ""
    assert flight.pilot("mumble") == ("Say again.",)
    flight.pilot("entering hold")
    entered = flight.stage
    later = flight.wait_s(240)

    assert entered
    assert later
    assert flight.last == later[-1] == flight.heard[-1]
    assert flight.now_s == 240.0


def test_a_driven_flight_is_the_played_one():
    driven = Flight.with_flags(TACAN, "--wind 250/15")
    driven.pilot("entering hold")
    driven.wait_s(100)
    driven.pilot("next")
    driven.wait_s(100)

    timed = read_transcript("0:00 PILOT entering hold\n1:40 PILOT next\n3:20 END\n", "flight.txt")
    played = Flight.with_flags(ROOT / TACAN, "--wind 250/15")
    assert list(play(played.conversation, timed.heard, timed.until_s)) == driven.records
