"""
One flight, second by second: aircraft, pilot, and the conversation between pilot and assistant.

The channel is one, as in a cockpit: words take as long as they take to say, more urgent ones cut less urgent
ones short, and while the pilot speaks only safety is spoken. A reading is true when the pilot begins to speak
and arrives when the pilot has spoken.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

from assistant.conversation import Conversation
from assistant.dialogue import Utterance
from assistant.engine.events import Priority
from assistant.engine.plan import Phase, Plan
from assistant.flight_log import Heard, Record
from assistant.language.phraseology import spoken_duration_s
from assistant.language.transcript import Transcript
from assistant.nav.geometry import PlanePoint, bearing_deg, difference_deg
from assistant.simulation.aircraft import Aircraft
from assistant.simulation.panel import Panel
from assistant.simulation.pilot import ScriptedPilot, Slip
from assistant.simulation.reading import saying_s

STEP_S = 1.0
LONGEST_S = 5400.0
# A missed approach is watched this long.
_MISSED_S = 240.0
# On the runway for so long a flight is over, though a recogniser may have made something else of "landed".
_LANDED_S = 30.0
_ON_THE_RUNWAY_FT = 30.0


class Sample(NamedTuple):
    """The truth at one second of a flight."""

    t_s: float
    point: PlanePoint
    altitude_ft: float
    heading_mag_deg: float
    vertical_fpm: float
    ias_kt: float


@dataclass(slots=True)
class Flown:
    """A flight as it was flown: its true track, everything said and decided, and the pilot's own errors."""

    plan: Plan
    samples: list[Sample] = field(default_factory=list)
    records: list[Record] = field(default_factory=list)
    slips: list[Slip] = field(default_factory=list)
    ended: str = "time"


Ears = Callable[[str, float, float], Transcript]
"""What arrives of words said between two moments: as they are, or through a microphone and a recogniser."""


def as_typed(text: str, started_s: float, ended_s: float) -> Transcript:
    """Every word as it was said."""
    return Transcript(text=text, started_t_s=started_s, ended_t_s=ended_s)


class Channel:
    """Who is speaking, and what of it is heard."""

    def __init__(
        self, conversation: Conversation, pilot: ScriptedPilot, records: list[Record], ears: Ears
    ) -> None:
        self._conversation, self._pilot, self._records = conversation, pilot, records
        self._ears = ears
        self._saying: Utterance | None = None
        self._said_s = 0.0
        self._pilot_says: tuple[str, float, float] | None = None
        self._wake_at_s = conversation.wake_at_s
        # Whether anything may wait to be said: something came of time or a report since all was said.
        self._stirred = True

    def is_free(self, now_s: float) -> bool:
        """Whether nobody is speaking."""
        return self._pilot_says is None and (self._saying is None or self._said_s <= now_s)

    def begin(self, text: str, now_s: float) -> None:
        """The pilot begins to speak."""
        self._pilot_says = (text, now_s, now_s + saying_s(text))

    def advance(self, now_s: float) -> None:
        """Bring the conversation up to a moment: ticks, what the pilot has finished saying, what is due."""
        says = self._pilot_says
        if says is not None and says[2] <= now_s:
            self._tick(says[2])
            self._pilot_says = None
            transcript = self._ears(*says)
            self._records.append(Heard(t_s=says[2], transcript=transcript))
            self._records.extend(self._conversation.hear(transcript, says[2]))
            self._wake_at_s, self._stirred = self._conversation.wake_at_s, True
            self._pump(says[2])
        self._tick(now_s)
        self._pump(now_s)

    def _tick(self, now_s: float) -> None:
        while self._wake_at_s is not None and self._wake_at_s <= now_s:
            at_s = self._wake_at_s
            self._records.extend(self._conversation.pass_time(at_s))
            self._wake_at_s, self._stirred = self._conversation.wake_at_s, True
            self._pump(at_s)

    def _pump(self, now_s: float) -> None:
        conversation = self._conversation
        if self._saying is not None:
            if self._said_s > now_s:
                if not conversation.is_waiting_above(self._saying.callout.priority, now_s):
                    return
                self._pilot.cut_off(now_s)
            self._saying = None
        if not self._stirred:
            return
        if self._pilot_says is not None and not conversation.is_waiting_above(Priority.ACTION, now_s):
            return
        utterance, records = conversation.next_words(now_s)
        self._records.extend(records)
        self._stirred = utterance is not None
        if utterance is not None:
            self._saying = utterance
            self._said_s = now_s + spoken_duration_s(utterance.text)
            self._pilot.hear(utterance.text, now_s)


def drift_deg(samples: list[Sample]) -> float:
    """How far the track is right of the heading, as a pilot who flies direct to a fix sees it."""
    if len(samples) < 2:
        return 0.0
    before, now = samples[-2], samples[-1]
    return difference_deg(now.heading_mag_deg, bearing_deg(before.point, now.point))


def fly(
    conversation: Conversation,
    aircraft: Aircraft,
    pilot: ScriptedPilot,
    first_fix: PlanePoint,
    *,
    ears: Ears = as_typed,
) -> Flown:
    """Fly from where the aircraft is until it has landed, or its missed approach was flown."""
    engine = conversation.dialogue.engine
    plan = engine.state.plan
    procedure, qnh_hpa = plan.procedure, plan.conditions.qnh_hpa
    flown = Flown(plan=plan, slips=pilot.slips)
    channel = Channel(conversation, pilot, flown.records, ears)
    samples = flown.samples
    seen = Panel(motion=aircraft.motion, procedure=procedure, datum=pilot.datum, qnh_hpa=qnh_hpa)
    state = engine.state
    phase = state.stage.phase
    now_s = 0.0
    missed_s = landed_s = float("inf")
    runway_ft = procedure.runway.threshold_elevation_ft + _ON_THE_RUNWAY_FT
    while now_s < LONGEST_S:
        now_s += STEP_S
        aircraft.advance(pilot.controls, STEP_S)
        motion = aircraft.motion
        samples.append(
            Sample(
                now_s,
                motion.point,
                motion.altitude_ft,
                motion.heading_mag_deg,
                motion.vertical_fpm,
                motion.ias_kt,
            )
        )
        seen.datum = pilot.datum
        seen.fix = first_fix if pilot.is_homing else None
        seen.drift_deg = drift_deg(samples) if pilot.is_homing else 0.0
        pilot.advance(now_s, seen)
        channel.advance(now_s)
        if channel.is_free(now_s):
            says = pilot.speak(now_s, seen)
            if says is not None:
                channel.begin(says, now_s)
        if engine.state is not state:
            state = engine.state
            phase = state.stage.phase
        if state.ended or now_s - landed_s > _LANDED_S:
            flown.ended = "landed"
            break
        if phase is Phase.LANDING and motion.altitude_ft <= runway_ft:
            pilot.land(now_s)
            landed_s = min(landed_s, now_s)
        elif phase is Phase.MISSED or missed_s <= now_s:
            missed_s = min(missed_s, now_s)
            if phase is Phase.HOLD or state.stage.name == "complete" or now_s - missed_s > _MISSED_S:
                flown.ended = "went around"
                break
    return flown
