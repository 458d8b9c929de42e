"""What the campaign through the recogniser does beside flying: words, spread, counting, going on again."""

import json
import subprocess
from collections import Counter
from dataclasses import asdict, replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.adapters.speech_in.audio import read_audio
from assistant.adapters.speech_in.listener import Hearing
from assistant.adapters.speech_in.recogniser import Decoded
from assistant.language.choice import Candidate, Choice, Decision, Expectation
from assistant.language.grammar import Names
from assistant.simulation.measures import Measures
from benchmarks.sounds import BEFORE_S
from benchmarks.spoken_loop import (
    VOICES,
    Ears,
    Festival,
    Spoken,
    flights_of,
    fly_all,
    in_words,
    kept,
    missing,
    outcome,
    summary,
)

NAMES = Names(fixes=("TARNO",))
NINE = [f"procedure-{number}" for number in range(9)]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        # Digits one by one, altitudes in thousands and hundreds (ICAO Doc 9432, 2.4).
        ("radial 042 12.1 DME 4800",
         "radial zero four two one two decimal one dme four thousand eight hundred"),
        ("range 4.6 passing 1520", "range four decimal six passing one five two zero"),
        ("12.1 DME FL85", "one two decimal one dme flight level eight five"),
        ("radial 360, 9.0 DME, 2900, heading 175",
         "radial three six zero, niner decimal zero dme, two thousand niner hundred, heading one seven five"),
        # Without a word between, the digits of a range and of an altitude would run together.
        ("4.6 1520", "four decimal six passing one five two zero"),
        ("established", "established"),
    ],
)  # fmt: skip
def test_a_typed_report_is_spoken_as_a_pilot_says_it(typed, said):
    assert in_words(typed) == said


def test_in_three_rounds_of_the_procedures_each_is_flown_once_with_every_voice():
    flights = flights_of(range(1, 28), 15.0, NINE)

    pairs = Counter((flight.procedure, flight.voice) for flight in flights)
    assert len(pairs) == 9 * len(VOICES) == 27
    assert set(pairs.values()) == {1}


@pytest.mark.skipif(
    not Path("/usr/share/festival/voices/english/kal_diphone").exists(), reason="needs Festival's voice kal"
)
def test_a_voice_that_stays_loaded_says_to_the_sample_what_one_loaded_anew_says(tmp_path):
    voice = Festival("kal_diphone")
    for words, spelled in (("leaving the hold", "leaving the hold"), ("six dme", "six D M E")):
        file = tmp_path / "said.wav"
        command = ["text2wave", "-eval", "(voice_kal_diphone)", "-o", str(file)]
        subprocess.run(command, input=spelled, text=True, check=True, capture_output=True)

        assert np.array_equal(voice.say(words), read_audio(file))
    voice.close()


def heard(text, decision):
    reading = Candidate(text=text, events=(), score=0.0) if text else None
    return Hearing(
        heard=Decoded(text=text, score=0.0),
        choice=Choice(decision=decision, reading=reading, why=""),
        alternatives=(),
        snr_db=15.0,
    )


@pytest.mark.parametrize(
    ("made_out", "decision", "became"),
    [
        ("range one two decimal one", Decision.ACCEPT, "right"),
        ("one two decimal one DME", Decision.ACCEPT, "right"),  # other words for the same
        ("range one one decimal one", Decision.ACCEPT, "wrong"),
        ("established", Decision.ACCEPT, "wrong"),
        ("range one two decimal one", Decision.ASK, "asked back"),
        ("range one one decimal one", Decision.ASK, "asked back"),
        ("", Decision.REFUSE, "refused"),
    ],
)
def test_what_became_of_words_goes_by_what_they_mean(made_out, decision, became):
    assert outcome(heard(made_out, decision), "range one two decimal one", NAMES) == became


class ScriptedListener:
    """Makes out what it was told to, and notes what it was given."""

    def __init__(self, *hearings):
        self.hearings, self.expected, self.before_s = list(hearings), [], []

    def expect(self, expectation):
        self.expected.append(expectation)

    def understand(self, _, before_s):
        self.before_s.append(before_s)
        return self.hearings.pop(0)


def a_hum(_):
    """Stands for a voice."""
    return np.full(1600, 0.1, dtype=np.float32)


def test_ears_count_keep_every_line_and_pass_on_doubt():
    expectation = Expectation(dme_nm=(11.0, 13.0))
    asked_s = []
    dialogue = SimpleNamespace(names=NAMES, expectation=lambda t_s: asked_s.append(t_s) or expectation)
    listener = ScriptedListener(
        heard("range one two decimal one", Decision.ACCEPT),
        heard("range one one decimal one", Decision.ACCEPT),
        heard("range one two decimal one", Decision.ASK),
    )
    flight = Spoken(seed=1, procedure="any", voice=VOICES[0], snr_db=15.0)
    ears = Ears(SimpleNamespace(dialogue=dialogue), listener, flight, a_hum)

    transcripts = [ears("range 12.1", 60.0, 62.0) for _ in range(3)]

    assert ears.heard == {"right": 1, "wrong": 1, "asked back": 1}
    assert [(line.became, line.heard) for line in ears.lines] == [
        ("right", ("range one two decimal one",)),
        ("wrong", ("range one one decimal one",)),
        ("asked back", ("range one two decimal one",)),
    ]
    assert {line.words for line in ears.lines} == {"range one two decimal one"}
    assert [each.confidence for each in transcripts] == [1.0, 1.0, 0.0]
    assert {(each.started_t_s, each.ended_t_s) for each in transcripts} == {(60.0, 62.0)}
    assert listener.expected == [expectation] * 3
    assert asked_s == [60.0] * 3  # as of when the pilot began to speak, as in the cockpit
    assert listener.before_s == [BEFORE_S] * 3


def test_a_lone_word_that_is_not_understood_is_said_again_in_other_words():
    said = []
    dialogue = SimpleNamespace(names=NAMES, expectation=lambda _: None)
    listener = ScriptedListener(*(heard("leaving", Decision.ASK) for _ in range(3)))
    listener.hearings += [heard("leaving the hold", Decision.ACCEPT)]
    ears = Ears(
        SimpleNamespace(dialogue=dialogue),
        listener,
        Spoken(seed=1, procedure="any", voice=VOICES[0], snr_db=15.0),
        lambda words: said.append(words) or a_hum(words),
    )

    for t_s in range(4):
        ears("leaving", float(t_s), t_s + 1.0)

    assert said == ["leaving", "leaving the hold", "leaving", "leaving the hold"]


MEASURES = Measures(
    seed=1,
    category="A",
    wind_from_mag_deg=360.0,
    wind_kt=10.0,
    ended="landed",
    flown_s=900.0,
    lateral_share=0.2,
    lateral_nm={"final": 0.1},
    arc_nm=None,
    rollout_nm=None,
    floor_margin_ft=5.0,
    floor_stage="final",
    above_faf_ft=20.0,
    sank_fpm=700.0,
    minimum_dme_nm=1.0,
    map_across_nm=0.0,
    map_above_minimum_ft=10.0,
    below_floor=0,
    callouts_per_min=3.0,
    longest_silence_s=50.0,
    unspoken={},
    challenges=0,
    slips={},
)


def line(flight, measures=MEASURES, **counts):
    return {
        **asdict(flight),
        "heard": counts,
        "lines": [],
        "measures": asdict(replace(measures, seed=flight.seed)),
    }


def landed(flight):
    """Stands for a flight, in a process of its own."""
    return line(flight, right=flight.seed)


def test_on_two_cores_every_flight_is_kept_once(tmp_path, capsys):
    file = tmp_path / "spoken.jsonl"
    flights = flights_of(range(1, 8), 15.0, NINE)

    fly_all(flights, file, 2, landed)

    assert sorted((row["seed"], row["heard"]["right"]) for row in kept(file)) == [(n, n) for n in range(1, 8)]
    assert len(capsys.readouterr().out.splitlines()) == 7  # each told of as it is over


def test_a_run_that_was_cut_off_goes_on_where_it_was(tmp_path):
    flights = flights_of(range(1, 5), 15.0, NINE)
    file = tmp_path / "spoken.jsonl"
    whole = json.dumps(line(flights[1], right=30)) + "\n"
    file.write_text(whole + whole[:50], encoding="utf-8")  # killed in the middle of its second line
    flown = []

    def fly_one(flight):
        flown.append(flight.seed)
        return line(flight, right=20)

    fly_all(flights, file, 1, fly_one)

    assert flown == [1, 3, 4]
    assert sorted(row["seed"] for row in kept(file)) == [1, 2, 3, 4]
    assert missing(flights, kept(file)) == []
    # Louder noise is another flight.
    assert missing(flights_of([1], 5.0, NINE), kept(file)) == flights_of([1], 5.0, NINE)


def test_the_summary_adds_up_reports_by_voice_and_names_flights_outside_a_limit():
    first, second = flights_of((1, 2), 15.0, NINE)
    below = replace(MEASURES, floor_margin_ft=-5.0, below_floor=1)
    rows = [line(first, right=8, refused=2), line(second, below, right=6, wrong=4)]

    lines = summary(rows)

    # 14 of 20, 2 of 20, 4 of 20 by hand; in brackets Wilson's interval.
    assert lines[0].startswith("all voices: 20 reports: right 70.0 (48-85) %, asked back 0.0")
    assert "refused 10.0 (3-30) %, wrong 20.0 (8-42) %" in lines[0]
    assert any(each.startswith(f"{first.voice}: 10 reports: right 80.0") for each in lines)
    assert any(each.startswith(f"{second.voice}: 10 reports: right 60.0") for each in lines)
    assert "2 flights: 2 landed" in lines
    assert any("floor in force" in each and each.endswith("1 of 2; outside: 2") for each in lines)
    assert summary([]) == ["no flights"]
