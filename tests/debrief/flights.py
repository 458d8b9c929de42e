"""Logged flights for the debrief's tests: one good, one deliberately bad, and the bad one seen by a feed."""

import functools

from driver import ROOT
from scripted_pilot import ScriptedPilot

from assistant.engine.events import CalloutKind, Datum, PositionReport, PositionSample
from assistant.engine.today import indicated_ft
from assistant.flight_log import Header, Heard, header_line, read_log, record_line
from assistant.nav.geometry import polar_from_plane, position_from_radial_dme

NAME = "brennok-vortac-33"
FLAGS = "--wind 200/30 --qnh 998"
WRONG_SETTING_S = (600.0, 640.0)
"""In the bad flight the altimeter stands on QFE in this time, level in the hold: 352 ft off."""

TURN_LATE_S = 25.0
"""So much later than any callout the bad pilot turns at the lead radial."""

STEP_DOWN_FT = 1452.0
"""The chart's floor until 4 DME on final: 1100 ft above the QFE datum at 352 ft (procedures/brennok…yaml)."""


class BadPilot(ScriptedPilot):
    """Sets QFE in the hold, turns late at the lead radial, dives 200 ft through the step-down on final."""

    def __init__(self, *arguments, **options):
        self.delayed = []
        self.diving = False
        super().__init__(*arguments, **options)

    def _obey(self):
        for order in list(self.orders):
            _, callout = order
            is_late = callout.kind is CalloutKind.TURN and callout.figures.event == "lead radial"
            if is_late and not any(callout is seen for seen in self.delayed):
                self.delayed.append(callout)
                self.orders.remove(order)
                self.orders.append((order[0] + TURN_LATE_S, callout))
        super()._obey()
        if self.diving and self.dme_nm() < 4.0:
            self.diving = False
            self.target_ft, self.fpm = self.plan.minimum_ft + 20.0, -700.0

    def _act(self, kind, figures):
        if kind is CalloutKind.HEIGHT_CHECK and self.diving:
            return
        super()._act(kind, figures)
        if kind is CalloutKind.FINAL_DESCENT:
            self.diving = True
            self.target_ft, self.fpm = STEP_DOWN_FT - 200.0, -2400.0

    def shown_ft(self):
        start_s, end_s = WRONG_SETTING_S
        datum = Datum.QFE if start_s <= self.flight.now_s < end_s else self.state.datum
        plan = self.plan
        return indicated_ft(
            self.altitude_ft, datum, procedure=plan.procedure, qnh_hpa=plan.conditions.qnh_hpa
        )


def log_bytes(outcome, records=None, name=NAME, started_utc="2026-01-02T03:04:05+00:00"):
    """A flight as the bytes of its log."""
    path = ROOT / "procedures" / f"{name}.yaml"
    header = Header(
        leadradial="0",
        started_utc=started_utc,
        procedure_name=path.name,
        procedure_text=path.read_text(encoding="utf-8"),
        conditions=outcome.flight.plan.conditions,
        prompting="full",
    )
    records = outcome.flight.records if records is None else records
    return "".join(f"{line}\n" for line in (header_line(header), *map(record_line, records))).encode()


@functools.cache
def good_log(name=NAME, flags=FLAGS, ending="land"):
    return log_bytes(ScriptedPilot(f"procedures/{name}.yaml", flags, ending=ending).fly(), name=name)


@functools.cache
def bad_outcome():
    return BadPilot(f"procedures/{NAME}.yaml", FLAGS).fly()


def bad_log():
    return log_bytes(bad_outcome())


def bad_log_by_feed():
    """The bad flight with a sample every six seconds in place of the pilot's readings."""
    outcome = bad_outcome()
    navaid = outcome.flight.procedure.navaid
    records = [record for record in outcome.flight.records if not isinstance(record, PositionReport | Heard)]
    for before, now in zip(outcome.samples, outcome.samples[4:], strict=False):
        if now.t_s % 6.0:
            continue
        polar = polar_from_plane(now.point)
        place = position_from_radial_dme(
            navaid.latitude_deg,
            navaid.longitude_deg,
            navaid.declination_deg,
            polar.radial_deg,
            polar.ground_nm,
        )
        east_nm = now.point.east_nm - before.point.east_nm
        north_nm = now.point.north_nm - before.point.north_nm
        step = polar_from_plane(type(now.point)(east_nm, north_nm))
        records.append(
            PositionSample(
                t_s=now.t_s,
                observed_t_s=now.t_s,
                latitude_deg=place.latitude_deg,
                longitude_deg=place.longitude_deg,
                altitude_ft=now.altitude_ft,
                track_true_deg=(step.radial_deg + navaid.declination_deg) % 360.0,
                groundspeed_kt=step.ground_nm / (now.t_s - before.t_s) * 3600.0,
            )
        )
    records.sort(key=lambda record: record.t_s)
    return log_bytes(outcome, records)


def read(data, name="flight.jsonl"):
    return read_log(data, name)
