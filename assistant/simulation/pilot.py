"""
A scripted pilot who knows nothing of the procedure: does what was heard, and reads out what the needles show.

Known beforehand is what a briefing leaves in the cockpit: the aircraft's own speeds, which station is tuned,
the way to the first fix. Headings, turns, courses, levels and rates come from the words alone, obeyed a
reaction time after they were heard.
"""

from dataclasses import dataclass
from random import Random

from assistant.engine.conditions import Speeds
from assistant.engine.events import Statement
from assistant.language.hearing import Names, hear
from assistant.language.transcript import Transcript
from assistant.procedure.model import Datum
from assistant.simulation.aircraft import Controls
from assistant.simulation.habits import Habits
from assistant.simulation.hands import Hands
from assistant.simulation.panel import Panel
from assistant.simulation.reading import position_report
from assistant.simulation.understanding import (
    ChangeLevel,
    Meaning,
    Noticed,
    SetAltimeter,
    SetCourse,
    SinkAt,
    Steer,
    understand,
)

WORDS_PER_S = 2.6
# How soon after the inbound turn the pilot says that the hold is to be left.
_LEAVING_AFTER_S = 6.0
# Told that the missed approach point is near, one who sees the runway says so unasked, after a last look.
_LOOKS_S = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Briefed:
    """
    What the pilot takes into the flight.

    ending: "land", "go around" (at the minimum) or "nothing" (levels off and waits to be told). circuits:
    inbound legs of the hold flown, the last of which leaves it. sink_fpm, climb_fpm: where no rate is said.
    """

    speeds: Speeds
    bank_deg: float
    datum: Datum
    first_level_ft: float
    sink_fpm: float
    climb_fpm: float
    ending: str
    circuits: int
    threshold_ft: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """An error the pilot made: when, and which."""

    t_s: float
    what: str


@dataclass(frozen=True, slots=True)
class _Order:
    due_s: float
    heard_s: float
    meaning: Meaning


class ScriptedPilot:
    """One pilot; `controls` is what the hands do, `slips` the errors made."""

    def __init__(self, briefed: Briefed, habits: Habits, random: Random, controls: Controls) -> None:
        self.briefed, self.habits = briefed, habits
        self.controls = controls
        self.datum = briefed.datum
        self.slips: list[Slip] = []
        self._random = random
        self._hands = Hands(controls, habits, random, sink_fpm=briefed.sink_fpm, climb_fpm=briefed.climb_fpm)
        self._hands.aim_for(briefed.first_level_ft + habits.aim_above_ft)
        self._orders: list[_Order] = []
        self._to_say: list[tuple[float, str]] = []
        self._said_established: float | None = None
        self._stated: str | None = None
        self._in_hold = self._on_arc = self._landed = self._is_asked_all = False
        self._inbounds = 0
        self._next_report_s = 4.0
        self._reports = 0

    @property
    def is_homing(self) -> bool:
        """Whether the pilot is still on the way to the first fix."""
        return self._hands.is_homing

    # --- ears

    def hear(self, text: str, begun_s: float) -> None:
        """Take in words that begin to be spoken: each is known once said, and obeyed a little later."""
        reaction_s = self.habits.reaction_s * self._random.uniform(0.8, 1.3)
        for understood in understand(text):
            heard_s = begun_s + understood.words / WORDS_PER_S
            due_s = heard_s + reaction_s
            meaning = self._as_heard(understood.meaning, heard_s)
            if isinstance(meaning, Steer) and self._random.random() < self.habits.turns_late:
                self.slips.append(Slip(t_s=heard_s, what="turned late"))
                due_s += self._random.uniform(3.0, 8.0)
            self._orders.append(_Order(due_s, heard_s, meaning))

    def cut_off(self, now_s: float) -> None:
        """The words being spoken were cut short: what had not been said was not heard."""
        self._orders = [order for order in self._orders if order.heard_s <= now_s]

    def _as_heard(self, meaning: Meaning, t_s: float) -> Meaning:
        if isinstance(meaning, Steer) and self._random.random() < self.habits.mishears:
            self.slips.append(Slip(t_s=t_s, what="misheard a heading"))
            off_deg = self._random.choice((-20.0, -10.0, 10.0, 20.0))
            return Steer(heading_mag_deg=(meaning.heading_mag_deg + off_deg) % 360.0, turn=meaning.turn)
        return meaning

    # --- the flight, second by second

    def advance(self, now_s: float, panel: Panel) -> None:
        """Act on what is due, keep heading, needle and level."""
        if self._orders:
            due = [order for order in self._orders if order.due_s <= now_s]
            if due:
                self._orders = [order for order in self._orders if order.due_s > now_s]
                for order in due:
                    self._act(order.meaning, now_s, panel)
                    if isinstance(order.meaning, Steer):
                        self._forget_older_headings(order.heard_s)
        self._hands.steer(panel)
        self._hands.keep_level(panel)

    def _forget_older_headings(self, heard_s: float) -> None:
        """Who was late with a heading does not turn back for it once a later one is flown."""
        self._orders = [
            order
            for order in self._orders
            if order.heard_s >= heard_s or not isinstance(order.meaning, Steer)
        ]

    def land(self, now_s: float) -> None:
        """The wheels are on the runway."""
        if not self._landed:
            self._landed = True
            self._to_say.append((now_s, "landed"))

    def _act(self, meaning: Meaning, now_s: float, panel: Panel) -> None:
        hands = self._hands
        match meaning:
            case SetCourse(course_mag_deg=course_deg, this_leg=this_leg):
                hands.set_course(course_deg, this_leg=this_leg)
            case Steer() as steer:
                if steer.turn is not None:
                    self._said_established = None
                hands.turn(steer)
            case ChangeLevel() as change:
                hands.change_level(change, panel)
            case SinkAt(descent_fpm=rate_fpm, begins=begins):
                hands.sink(rate_fpm, begins=begins)
                if begins:
                    self.controls.ias_kt = self.briefed.speeds.final_kt
            case SetAltimeter(datum=datum):
                self.datum = datum
            case Noticed(what=what, item=item):
                self._notice(what, item, now_s)

    def _notice(  # noqa: C901, PLR0912 - one case a thing noticed is the table
        self, what: str, item: str, now_s: float
    ) -> None:
        speeds, controls = self.briefed.speeds, self.controls
        match what:
            case "hold ahead" if self._hands.is_homing:
                self._in_hold = True
                controls.ias_kt = speeds.hold_kt
            case "inbound" if self._in_hold:
                self._inbounds += 1
                # Once more on every inbound leg until it is acknowledged.
                if self._inbounds >= self.briefed.circuits:
                    self._to_say.append((now_s + _LEAVING_AFTER_S, "leaving"))
            case "leaving":
                self._in_hold = False
                controls.ias_kt = speeds.initial_kt
            case "arc":
                self._on_arc = True
                self._hands.leave_course()
            case "final approach fix next":
                controls.ias_kt = speeds.intermediate_kt
                self._on_arc = False
            case "final approach fix near":
                controls.ias_kt = speeds.final_kt
            case "visual?":
                answer = {"land": "visual", "go around": "going around"}.get(self.briefed.ending)
                if answer is not None:
                    self._to_say = [(now_s, answer)]
            case "missed approach point near" if self.briefed.ending == "land" and not self._hands.is_visual:
                self._to_say.append((now_s + _LOOKS_S, "visual"))
            case "land":
                self._hands.land(self.briefed.threshold_ft)
            case "go around":
                controls.ias_kt = speeds.missed_kt
                self._hands.leave_course()
            case "report" if item == "visual":
                self._notice("visual?", "", now_s)
            case "report" if item == "established":
                self._said_established = None
                self._next_report_s = min(self._next_report_s, now_s)
            case "say again" if not item and self._stated is not None:
                # A statement that was not understood is made again; a report is read anew.
                self._to_say.append((now_s, self._stated))
            case "heard" if self._stated is not None:
                self._to_say.append((now_s, "affirm" if _mean_the_same(item, self._stated) else self._stated))
            case "report" | "say again" | "heard" | "check altimeter":
                self._is_asked_all = item in ("radial", "position")
                self._next_report_s = min(self._next_report_s, now_s)
            case _:
                pass

    # --- mouth

    def speak(self, now_s: float, panel: Panel) -> str | None:
        """What the pilot says now, if anything: a statement first, else a report when one is due."""
        if self._to_say and self._to_say[0][0] <= now_s:
            self._stated = self._to_say.pop(0)[1]
            return self._stated
        course_deg = self._hands.course_mag_deg
        if self._said_established != course_deg and self._hands.is_established(panel):
            self._said_established = course_deg
            self._stated = "established"
            return self._stated
        if now_s < self._next_report_s or self._hands.is_visual:
            return None
        habits, random = self.habits, self._random
        every_s = habits.report_every_final_s if self._hands.is_final else habits.report_every_s
        self._next_report_s = now_s + every_s * random.uniform(0.85, 1.15)
        if random.random() < habits.forgets:
            self.slips.append(Slip(t_s=now_s, what="forgot to report"))
            return None
        slip = random.random() < habits.misreads
        if slip:
            self.slips.append(Slip(t_s=now_s, what="misread the range"))
        self._reports += 1
        self._stated = None
        return position_report(panel, self.datum, habits, random, form=self._form(), slip=slip)

    def _form(self) -> str:
        if self._hands.is_homing:
            return "arrival"
        is_asked, self._is_asked_all = self._is_asked_all, False
        if is_asked or self._on_arc or self._hands.course_mag_deg is None or self._reports % 3 == 0:
            return "full"
        return "brief"


def _mean_the_same(heard: str, stated: str) -> bool:
    """Whether words asked back say what the pilot stated, maybe in other words."""
    meant = [
        tuple(event.said for event in hear(_said(words), Names(), 0.0) if isinstance(event, Statement))
        for words in (heard, stated)
    ]
    return meant[0] == meant[1]


def _said(words: str) -> Transcript:
    return Transcript(text=words, started_t_s=0.0, ended_t_s=0.0)
