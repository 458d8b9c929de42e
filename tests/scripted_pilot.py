"""
A scripted pilot for tests: flies a point-mass aircraft by what it hears, and reports as pilots do.

It knows the chart's first fix, the needle in front of it, and nothing else of the procedure: headings, turns,
rates and altitudes come from the callouts, obeyed after a reaction time. What it types goes through the same
door as any pilot's words. Run as a program it prints a golden flight to be reviewed and kept:

    python tests/scripted_pilot.py procedures/skarrow-tacan-24.yaml --setup "--wind 250/25" >
    tests/golden/NAME.txt
"""

import argparse
from dataclasses import dataclass, field

from driver import Flight

from assistant.adapters.transcript_file import transcript_lines
from assistant.engine.events import Callout, CalloutKind, Datum, PositionReport, StageEntered
from assistant.engine.plan import Phase
from assistant.engine.today import Today, indicated_ft
from assistant.flight_log import Spoken
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    bearing_deg,
    difference_deg,
    distance_nm,
    move,
    polar_from_plane,
    slant_nm_from_ground,
    turn_through_deg,
)
from assistant.nav.turns import bank_in_use_deg, turn_rate_deg_s
from assistant.nav.wind import heading_for_track, track_for_heading

STEP_S = 0.5
REACTION_S = 2.0
TURNS = {
    CalloutKind.TURN,
    CalloutKind.HOLD_ENTRY,
    CalloutKind.OUTBOUND,
    CalloutKind.INBOUND_TURN,
    CalloutKind.HEADING,
    CalloutKind.ARC_OFFSET,
    CalloutKind.COURSE_OFFSET,
    CalloutKind.GO_AROUND,
    CalloutKind.CLIMB,
}


@dataclass
class Sample:
    """Where the aircraft really was, and what the engine thought."""

    t_s: float
    stage: str
    point: PlanePoint
    dme_nm: float
    altitude_ft: float
    floor_ft: float | None


@dataclass
class Outcome:
    """A flight as flown: what was typed, every record, and the true track."""

    flight: Flight
    samples: list[Sample] = field(default_factory=list)

    @property
    def callouts(self) -> list[Callout]:
        return [record.callout for record in self.flight.records if isinstance(record, Spoken)]

    @property
    def stages(self) -> list[str]:
        return [record.stage for record in self.flight.records if isinstance(record, StageEntered)]

    @property
    def reports(self) -> list[PositionReport]:
        return [record for record in self.flight.records if isinstance(record, PositionReport)]


class ScriptedPilot:
    """
    One flight from ten miles before the first fix.

    `ending` is "land", "go around" (at the minimum) or "nothing seen".
    """

    def __init__(
        self,
        procedure_file,
        flags="",
        *,
        ending="land",
        circuits=1,
        report_every_s=28.0,
        from_deg=None,
        silent=(),
    ):
        self.flight = Flight.with_flags(procedure_file, flags)
        self.plan = self.flight.plan
        self.today = Today(procedure=self.plan.procedure, conditions=self.plan.conditions)
        self.outcome = Outcome(self.flight)
        self.ending, self.circuits, self.report_every_s, self.silent = (
            ending,
            circuits,
            report_every_s,
            silent,
        )
        first = self.plan.stages[0]
        fix = next(f for f in self.plan.procedure.fixes if f.ident in first.title)
        self.fix = self.today.point(fix, first.target_ft)
        if from_deg is None:
            hold = self.plan.procedure.hold
            course = (
                hold.inbound_course_mag_deg
                if hold
                else self.plan.stage(self.plan.after_hold).timeline.headings_deg[-1]
            )
            from_deg = course + 160.0
        self.point = move(self.fix, from_deg, 10.0)
        self.heading_deg = bearing_deg(self.point, self.fix)
        self.altitude_ft = first.target_ft + 400.0
        self.target_ft, self.fpm = first.target_ft, -800.0
        self.wanted_deg, self.way, self.course_deg = None, None, None
        self.direct = True
        self.orders = []
        self.seen_records = 0
        self.reported_s = -60.0
        self.report_number = 0
        self.stated = set()
        self.rounds = 0
        self.over = False
        self.to_say = []

    # --- the world ------------------------------------------------------------------------------------------

    @property
    def state(self):
        return self.flight.conversation.dialogue.engine.state

    def wind(self):
        return self.today.wind(self.altitude_ft)

    def dme_nm(self):
        above_ft = max(self.altitude_ft - self.plan.procedure.navaid.elevation_ft, 0.0)
        return slant_nm_from_ground(polar_from_plane(self.point).ground_nm, above_ft)

    def shown_ft(self):
        return indicated_ft(
            self.altitude_ft,
            self.state.datum,
            procedure=self.plan.procedure,
            qnh_hpa=self.plan.conditions.qnh_hpa,
        )

    def fly(self, until_s=3000.0):
        """Fly to the end, or to a time; the outcome."""
        while not self.over and self.flight.now_s < until_s:
            self._obey()
            self._talk()
            self._move()
            self.flight.wait_s(STEP_S)
            self._listen()
        return self.outcome

    def _move(self):
        stage = self.state.stage
        tas_kt, wind = stage.tas_kt, self.wind()
        if self.direct and distance_nm(self.point, self.fix) > 0.3:
            self.wanted_deg = heading_for_track(bearing_deg(self.point, self.fix), tas_kt, *wind).heading_deg
        self._follow_needle(stage, tas_kt, wind)
        if self.wanted_deg is not None:
            bank_deg = bank_in_use_deg(tas_kt, self.plan.conditions.bank_deg)
            most_deg = turn_rate_deg_s(tas_kt, bank_deg) * STEP_S
            left_deg = turn_through_deg(self.heading_deg, self.wanted_deg, self.way) if self.way else 0.0
            if self.way and most_deg < left_deg < 355.0:
                self.heading_deg += most_deg if self.way == "right" else -most_deg
            else:
                self.way = None
                self.heading_deg += max(
                    -most_deg, min(most_deg, difference_deg(self.heading_deg, self.wanted_deg))
                )
        flown = track_for_heading(self.heading_deg, tas_kt, *wind)
        self.point = move(self.point, flown.track_deg, flown.groundspeed_kt * STEP_S / 3600.0)
        if self.fpm:
            self.altitude_ft += self.fpm * STEP_S / 60.0
            if (self.fpm < 0 and self.altitude_ft <= self.target_ft) or (
                self.fpm > 0 and self.altitude_ft >= self.target_ft
            ):
                self.altitude_ft, self.fpm = self.target_ft, 0.0
        self.outcome.samples.append(
            Sample(
                self.flight.now_s, self.state.stage_name, self.point, self.dme_nm(), self.altitude_ft, None
            )
        )
        threshold_ft = self.plan.procedure.runway.threshold_elevation_ft
        down = self.state.stage.phase is Phase.LANDING and self.altitude_ft <= threshold_ft + 30.0
        if down and "landed" not in self.stated:
            self.stated.add("landed")
            self._say("landed")

    def _follow_needle(self, stage, tas_kt, wind):
        """On a course it was given, and pointing about along it, the pilot keeps the needle in the middle."""
        course = stage.course
        if course is None or self.course_deg is None or self.way is not None:
            return
        if abs(difference_deg(self.course_deg, course.course_mag_deg)) > 1.0:
            return
        if abs(difference_deg(self.heading_deg, course.course_mag_deg)) > 70.0:
            return
        here = along_and_across_nm(self.point, course.anchor, course.course_mag_deg)
        cut_deg = max(-35.0, min(35.0, -40.0 * here.across_nm))
        held = heading_for_track(course.course_mag_deg, tas_kt, *wind).heading_deg
        self.wanted_deg = heading_for_track(course.course_mag_deg + cut_deg, tas_kt, *wind).heading_deg
        key = (self.state.stage_name, self.state.entered_s)
        on_it = abs(here.across_nm) < 0.15 and abs(difference_deg(self.heading_deg, held)) < 8.0
        if on_it and stage.turns and not self.state.established and key not in self.stated:
            self.stated.add(key)
            self._say("established")

    # --- ears -----------------------------------------------------------------------------------------------

    def _listen(self):
        for record in self.flight.records[self.seen_records :]:
            if isinstance(record, Spoken):
                self.orders.append((self.flight.now_s + REACTION_S, record.callout))
            if isinstance(record, StageEntered) and record.stage == "hold_outbound":
                self.rounds += 1
        self.seen_records = len(self.flight.records)

    def _obey(self):
        due = [order for order in self.orders if order[0] <= self.flight.now_s]
        self.orders = [order for order in self.orders if order[0] > self.flight.now_s]
        for _, callout in due:
            self._act(callout.kind, callout.figures)

    def _act(self, kind, figures):
        if kind in TURNS:
            self.direct = False
            if figures.heading_mag_deg is not None:
                self.wanted_deg = figures.heading_mag_deg
                self.way = figures.turn.value if figures.turn else None
            follows = kind not in (CalloutKind.HOLD_ENTRY, CalloutKind.ARC_OFFSET)
            self.course_deg = figures.course_mag_deg if follows else None
        match kind:
            case CalloutKind.GO_AROUND | CalloutKind.CLIMB:
                self.target_ft = figures.altitude_ft
                self.fpm = 1500.0 if self.altitude_ft < self.target_ft else 0.0
            case CalloutKind.DESCEND:
                self.target_ft, self.fpm = figures.altitude_ft, -(figures.descent_fpm or 1000.0)
            case CalloutKind.FINAL_DESCENT:
                self.target_ft, self.fpm = self.plan.minimum_ft + 20.0, -figures.descent_fpm
            case CalloutKind.HEIGHT_CHECK if figures.descent_fpm and self.fpm:
                self.fpm = -figures.descent_fpm
            case CalloutKind.MINIMUM if self.ending == "land":
                self._say("visual")
                self.target_ft = self.plan.procedure.runway.threshold_elevation_ft
            case CalloutKind.MINIMUM if self.ending == "go around":
                self._say("going around")
            case CalloutKind.LAND if figures.descent_fpm:
                self.fpm = -figures.descent_fpm

    # --- mouth ----------------------------------------------------------------------------------------------

    def _talk(self):
        now_s, stage = self.flight.now_s, self.state.stage
        if now_s % 1.0:
            return
        for text in self.to_say:
            self.flight.pilot(text)
        self.to_say = []
        if (
            self.state.stage_name in ("hold_inbound", "hold_offset_inbound")
            and self.rounds >= self.circuits
            and "leaving" not in self.stated
        ):
            self.stated.add("leaving")
            self._say("leaving")
        if stage.phase is Phase.MISSED:
            self.stated.add("missed")
        if self.state.ended:
            self.over = True
        if "missed" in self.stated and (stage.phase is Phase.HOLD or stage.name == "complete"):
            self.over = True
        if any(start <= now_s < end for start, end in self.silent):
            return
        every_s = min(self.report_every_s, 20.0) if stage.phase is Phase.FINAL else self.report_every_s
        if stage.phase is not Phase.LANDING and now_s - self.reported_s >= every_s:
            self.reported_s = now_s
            self._say(self._report(stage))

    def _report(self, stage):
        self.report_number += 1
        radial = round(polar_from_plane(self.point).radial_deg) or 360
        dme = f"{self.dme_nm():.1f}"
        feet = round(self.shown_ft() / 20.0) * 20
        standard = self.state.datum is Datum.STANDARD
        altitude = f"FL{round(self.shown_ft() / 100.0)}" if standard else f"{feet}"
        if stage.phase is Phase.ARRIVAL:
            heading = round(self.heading_deg) % 360 or 360
            return f"radial {radial:03d}, {dme} DME, {altitude}, heading {heading:03d}"
        if stage.arc is not None or stage.phase in (Phase.MISSED, Phase.INITIAL):
            return f"R{radial:03d} {dme} DME {altitude}"
        forms = (
            f"{dme} {altitude}",
            f"range {dme} passing {altitude}",
            f"radial {radial:03d} {dme} DME {altitude}",
        )
        return forms[self.report_number % len(forms)]

    def _say(self, text):
        """On the next whole second, so that a written flight has the very times that were flown."""
        self.to_say.append(text)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("procedure")
    parser.add_argument("--setup", default="")
    parser.add_argument("--ending", default="land", choices=["land", "go around", "nothing seen"])
    parser.add_argument("--circuits", type=int, default=1)
    parser.add_argument("--every", type=float, default=28.0)
    parser.add_argument("--from", dest="from_deg", type=float)
    arguments = parser.parse_args()
    pilot = ScriptedPilot(
        arguments.procedure,
        arguments.setup,
        ending=arguments.ending,
        circuits=arguments.circuits,
        report_every_s=arguments.every,
        from_deg=arguments.from_deg,
    )
    outcome = pilot.fly()
    print(f"procedure: {arguments.procedure}")  # noqa: T201 - a program's output
    print(f"setup: {arguments.setup}")  # noqa: T201
    for line in transcript_lines(iter(outcome.flight.records)):
        print(line)  # noqa: T201
    print(f"{int(pilot.flight.now_s // 60):02d}:{int(pilot.flight.now_s % 60):02d} END")  # noqa: T201


if __name__ == "__main__":
    main()
