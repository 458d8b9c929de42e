"""Whatever a pilot says, and whenever: the flight goes on, and its log alone gives the same flight again."""

import pytest
from driver import Flight
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.conversation import Conversation, play, replay
from assistant.dialogue import Dialogue, Prompting
from assistant.flight_log import Header, header_line, read_log, record_line
from assistant.language.transcript import Transcript

FLIGHT = Flight.with_flags("procedures/skarrow-tacan-24.yaml", "--wind 250/15 --qnh 996")

SAID = st.sampled_from(
    [
        "entering hold",
        "one more",
        "leaving",
        "established",
        "visual",
        "not visual",
        "going around",
        "next",
        "say again",
        "minimum",
        "disregard",
        "outbound",
        "turning",
        "on the arc",
        "QFE 987",
        "set QNH niner niner six",
        "wind 340/40",
        "mumble",
        "",
    ]
)
READ = st.builds(
    lambda dme, level, radial: f"{dme / 10:.1f} DME, {level * 100} feet, radial {radial:03d}",
    st.integers(0, 300),
    st.integers(1, 100),
    st.integers(1, 360),
)
SPOKEN = st.lists(st.tuples(st.integers(0, 180), SAID | READ | st.text(max_size=30)), max_size=12)


def transcripts(spoken):
    now_s = 0.0
    for wait_s, text in spoken:
        now_s += wait_s
        yield Transcript(text=text, started_t_s=now_s, ended_t_s=now_s)


@pytest.mark.parametrize("prompting", list(Prompting))
@settings(deadline=None, max_examples=40)
@given(spoken=SPOKEN)
def test_a_log_gives_the_same_flight_again(prompting, spoken):
    played = list(play(Conversation(Dialogue(FLIGHT.plan, prompting)), transcripts(spoken), until_s=3000.0))
    header = Header(
        leadradial="0",
        started_utc="2026-01-02T03:04:05+00:00",
        procedure_name="zzzz.yaml",
        procedure_text="",
        conditions=FLIGHT.plan.conditions,
        prompting=prompting,
    )
    lines = [header_line(header), *map(record_line, played)]

    read = read_log("".join(f"{line}\n" for line in lines).encode(), "flight.jsonl")

    assert read.notice is None
    assert list(read.records) == played
    assert read.header.conditions == FLIGHT.plan.conditions
    assert list(replay(Conversation(Dialogue(FLIGHT.plan, prompting)), read.records)) == played
