"""The cockpit's screen shows what is next, what to do and how low, and nothing that a glance cannot take."""

import io

from driver import Flight
from rich.console import Console

from assistant.adapters.screen import CockpitScreen
from assistant.engine.events import Callout, CalloutKind, Datum, Figures, Priority
from assistant.flight_log import Heard, Spoken
from assistant.language.transcript import Transcript

SKARROW = "procedures/skarrow-tacan-24.yaml"


def screen_of(flight, **options):
    return CockpitScreen(
        Console(file=io.StringIO()),
        title="Skarrow TACAN runway 24",
        glance=flight.conversation.dialogue.glance,
        now_s=lambda: flight.now_s,
        **options,
    )


def drawn(screen):
    console = Console(file=io.StringIO(), width=80, color_system=None)
    console.print(screen.drawn())
    return console.file.getvalue()


def safety(t_s=0.0):
    figures = Figures(indicated_ft=3000.0, datum=Datum.QNH)
    return Callout(
        t_s=t_s,
        expires_t_s=t_s + 8.0,
        kind=CalloutKind.BELOW_FLOOR,
        priority=Priority.SAFETY,
        cue="floor",
        figures=figures,
    )


def test_the_next_event_the_action_the_altitude_due_and_the_floor_with_their_datum_are_there():
    flight = Flight(SKARROW)
    screen = screen_of(flight)
    flight.pilot("radial 345, 18 DME, 4400, heading 165")
    flight.wait_s(120)
    screen.watch(tuple(flight.records))

    text = drawn(screen)

    assert "SKARROW TACAN RUNWAY 24" in text
    assert "02:00" in text
    next_line = next(line for line in text.splitlines() if line.startswith("NEXT"))
    assert "DME" in next_line
    assert "FLOOR" in text
    assert "4000 QNH" in text
    assert "heard" in text
    assert "radial 345, 18 DME, 4400, heading 165" in text


def test_a_safety_callout_stands_where_the_action_stood():
    screen = screen_of(Flight(SKARROW))
    callout = safety()

    screen.watch(
        (Spoken(t_s=0.0, text="Climb three thousand QNH. Below minimum altitude.", callout=callout),)
    )

    assert "DO     CLIMB 3000 QNH" in " ".join(drawn(screen).split("\n")).replace("   ", "   ")


def test_what_is_typed_and_the_microphone_are_shown_and_cannot_act_on_the_terminal():
    screen = screen_of(Flight(SKARROW), microphone=lambda: "listening")
    screen.watch((Heard(t_s=0.0, transcript=Transcript(text="next\x1b[2J", started_t_s=0.0, ended_t_s=0.0)),))
    screen.tell("The loudspeaker is gone; going on in text.")
    screen.typing("16.4 48")

    text = drawn(screen)

    assert "> 16.4 48_" in text
    assert "listening" in text
    assert "is gone; going on in text" in text
    assert "\x1b" not in text


def test_it_fits_a_small_terminal():
    flight = Flight(SKARROW)
    flight.pilot("radial 345, 18 DME, 4400, heading 165")
    screen = screen_of(flight)
    screen.watch(tuple(flight.records))

    lines = drawn(screen).splitlines()

    assert len(lines) <= 14
    assert max(map(len, lines)) <= 80


def test_until_something_was_heard_the_empty_line_says_what_to_type():
    flight = Flight(SKARROW)
    screen = screen_of(flight)
    assert "Ctrl-D ends" in drawn(screen)

    screen.typing("1")
    assert "Ctrl-D ends" not in drawn(screen)

    screen.typing("")
    flight.pilot("next")
    screen.watch(tuple(flight.records))
    assert "Ctrl-D ends" not in drawn(screen)
