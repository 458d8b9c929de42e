"""
JSBSim behind the aircraft protocol: a second, independent flight model with a simple stabilising autopilot.

Two of its bundled aircraft: a jet (A4) for categories C and faster, a light single (c172p) for A and B, whose
speeds are held to what it can fly. The autopilot's structure and gains were measured beforehand (heading to
bank, bank to aileron with a roll-rate loop, sideslip to rudder, vertical speed to pitch, speed to throttle);
control effectiveness is found at the start by two small pulses.

Traps of the library that are kept away from here: `ic/vc-kts` comes last; `run_ic` forgets the wind; its wind
is where the air moves TO; its banner goes to the standard output whatever it is told.
"""

import contextlib
import io
import os
from dataclasses import dataclass
from math import atan, cos, degrees, hypot, radians, tan
from typing import Any

from assistant.nav.geometry import FT_PER_NM, PlanePoint
from assistant.nav.turns import bank_in_use_deg
from assistant.procedure.model import Category
from assistant.simulation.air import Air
from assistant.simulation.aircraft import Controls, Motion
from assistant.simulation.point_mass import RATE_ONE_DEG_S, heading_error_deg

_DT_S = 1.0 / 60.0
# At thirty a second the autopilot tracks as at sixty, to within noise, for half the cost.
_CONTROL_S = 2.0 * _DT_S
_FT_S_PER_KT = 1.687810
_G_FT_S2 = 32.174
# The wind comes up over this time from a calm start, or the models roll.
_RAMP_S = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Airframe:
    """One of the bundled aircraft: its speeds, kt, and the throttle and gear it flies with."""

    name: str
    slowest_kt: float
    fastest_kt: float
    steepest_fpm: float
    is_jet: bool


JET = Airframe(name="A4", slowest_kt=145.0, fastest_kt=300.0, steepest_fpm=5000.0, is_jet=True)
LIGHT = Airframe(name="c172p", slowest_kt=70.0, fastest_kt=110.0, steepest_fpm=900.0, is_jet=False)


def airframe_for(category: Category) -> Airframe:
    """The aircraft flown in a category: the light single in A and B, the jet in the others."""
    return LIGHT if category in (Category.A, Category.B) else JET


class JsbsimAircraft:
    """A bundled aircraft in some air, flown by its autopilot; places are in the station's magnetic plane."""

    def __init__(self, air: Air, motion: Motion, airframe: Airframe) -> None:
        self._air, self._airframe = air, airframe
        self._motion = motion
        self._time_s = 0.0
        self._fdm = _loaded(airframe)
        self._start(motion)
        self._bank_rad = 0.0
        self._integral = {"roll": 0.0, "pitch": 0.0, "path": 0.0, "beta": 0.0, "throttle": 0.0}
        self._vertical_ft_s = 0.0
        self._alpha_rad = self._read("aero/alpha-rad")
        self._roll_power, self._pitch_power = self._identified()
        self._pressure0 = max(self._read("aero/qbar-psf"), 1.0)

    @property
    def motion(self) -> Motion:
        """Where it is now."""
        return self._motion

    def advance(self, controls: Controls, step_s: float) -> None:
        """Fly on, sixty steps a second, the autopilot at every second one."""
        self._blow(step_s)
        for _ in range(round(step_s / _CONTROL_S)):
            self._autopilot(controls)
            self._fdm.run()
            self._fdm.run()
            self._integrate()
        self._time_s += step_s
        self._observe()

    # --- the library

    def _read(self, name: str) -> float:
        return float(self._fdm[name])

    def _start(self, motion: Motion) -> None:
        fdm = self._fdm
        fdm["ic/h-sl-ft"] = motion.altitude_ft
        fdm["ic/lat-geod-deg"], fdm["ic/long-gc-deg"] = 0.0, 0.0
        fdm["ic/psi-true-deg"] = motion.heading_mag_deg
        fdm["ic/gamma-deg"] = 0.0
        fdm["ic/terrain-elevation-ft"] = -1000.0
        speed_kt = min(max(motion.ias_kt, self._airframe.slowest_kt), self._airframe.fastest_kt)
        fdm["ic/vc-kts"] = speed_kt
        if not self._airframe.is_jet:
            fdm["fcs/mixture-cmd-norm"] = 0.87
        fdm.run_ic()
        fdm["propulsion/set-running"] = -1
        fdm["fcs/throttle-cmd-norm"] = 0.6
        fdm["gear/gear-cmd-norm"] = 0.0
        # The trim's own error type is not exported; an untrimmed start settles in a minute.
        with contextlib.suppress(Exception), _silent():
            fdm["simulation/do_simple_trim"] = 0
        self._elevator = self._read("fcs/elevator-cmd-norm")
        self._aileron = self._read("fcs/aileron-cmd-norm")
        self._throttle = self._read("fcs/throttle-cmd-norm")

    def _identified(self) -> tuple[float, float]:
        """Roll and pitch rate a unit of stick gives, rad/s, found by two small pulses."""
        fdm = self._fdm
        fdm["fcs/aileron-cmd-norm"] = self._aileron + 0.05
        for _ in range(60):
            fdm.run()
        roll = self._read("velocities/p-rad_sec") / 0.05
        fdm["fcs/aileron-cmd-norm"] = self._aileron
        for _ in range(30):
            fdm.run()
        before = self._read("velocities/q-rad_sec")
        fdm["fcs/elevator-cmd-norm"] = self._elevator - 0.05
        for _ in range(36):
            fdm.run()
        pitch = (self._read("velocities/q-rad_sec") - before) / -0.05
        fdm["fcs/elevator-cmd-norm"] = self._elevator
        return max(roll, 0.1), min(pitch, -0.1)

    def _blow(self, step_s: float) -> None:
        east_kt, north_kt = self._air.wind_toward_kt(self._motion.altitude_ft, self._time_s + step_s)
        share = min(self._time_s / _RAMP_S, 1.0)
        self._fdm["atmosphere/wind-east-fps"] = east_kt * share * _FT_S_PER_KT
        self._fdm["atmosphere/wind-north-fps"] = north_kt * share * _FT_S_PER_KT

    def _integrate(self) -> None:
        # The station's plane is flat; so is this sum of the library's own velocities.
        now = self._motion
        now.point = PlanePoint(
            now.point[0] + self._read("velocities/v-east-fps") * _CONTROL_S / FT_PER_NM,
            now.point[1] + self._read("velocities/v-north-fps") * _CONTROL_S / FT_PER_NM,
        )

    def _observe(self) -> None:
        now = self._motion
        now.altitude_ft = self._read("position/h-sl-ft")
        now.heading_mag_deg = degrees(self._read("attitude/psi-rad")) % 360.0
        now.bank_deg = degrees(self._read("attitude/phi-rad"))
        now.vertical_fpm = self._read("velocities/h-dot-fps") * 60.0
        now.ias_kt = self._read("velocities/vc-kts")
        now.groundspeed_kt = (
            hypot(self._read("velocities/v-east-fps"), self._read("velocities/v-north-fps")) / _FT_S_PER_KT
        )

    # --- the autopilot

    def _autopilot(self, controls: Controls) -> None:
        scale = self._pressure0 / max(self._read("aero/qbar-psf"), 1.0)
        bank_rad = self._lateral(controls, scale)
        self._longitudinal(controls, scale, bank_rad)
        self._power(controls)

    def _lateral(self, controls: Controls, scale: float) -> float:
        tas_ft_s = max(self._read("velocities/vt-fps"), 50.0)
        heading_deg = degrees(self._read("attitude/psi-rad"))
        error_rad = radians(heading_error_deg(heading_deg, controls.heading_mag_deg, controls.turn))
        limit_rad = radians(bank_in_use_deg(tas_ft_s / _FT_S_PER_KT, controls.bank_deg, RATE_ONE_DEG_S))
        wanted_rad = _within(tas_ft_s / (_G_FT_S2 * 4.0) * error_rad, limit_rad)
        self._bank_rad += _within(wanted_rad - self._bank_rad, radians(6.0) * _CONTROL_S)
        bank_rad = self._read("attitude/phi-rad")
        rate_wanted = _within(1.2 * (self._bank_rad - bank_rad), 0.35)
        rate_error = rate_wanted - self._read("velocities/p-rad_sec")
        self._add("roll", 0.8 * rate_error, 0.6)
        stick = (rate_wanted + 0.6 * rate_error + self._integral["roll"]) / self._roll_power
        self._fdm["fcs/aileron-cmd-norm"] = _within(self._aileron + stick * scale, 1.0)
        beta_rad = self._read("aero/beta-rad")
        self._add("beta", -2.0 * beta_rad, 0.5)
        self._fdm["fcs/rudder-cmd-norm"] = _within(-3.0 * beta_rad + self._integral["beta"], 1.0)
        return bank_rad

    def _longitudinal(self, controls: Controls, scale: float, bank_rad: float) -> None:
        tas_ft_s = max(self._read("velocities/vt-fps"), 50.0)
        most_ft_s = min(abs(controls.vertical_fpm) or 500.0, self._airframe.steepest_fpm) / 60.0
        to_go_ft = controls.altitude_ft - self._read("position/h-sl-ft")
        wanted_ft_s = _within(0.15 * to_go_ft, most_ft_s)
        self._vertical_ft_s += _within(wanted_ft_s - self._vertical_ft_s, 4.0 * _CONTROL_S)
        path_wanted_rad = atan(self._vertical_ft_s / tas_ft_s)
        path_rad = atan(self._read("velocities/h-dot-fps") / tas_ft_s)
        error_rad = path_wanted_rad - path_rad
        self._alpha_rad += (self._read("aero/alpha-rad") - self._alpha_rad) * _CONTROL_S
        self._add("path", 0.1 * error_rad, 0.15)
        pitch_wanted_rad = (
            path_wanted_rad + self._alpha_rad * cos(bank_rad) + 0.5 * error_rad + self._integral["path"]
        )
        pitch_error_rad = pitch_wanted_rad - self._read("attitude/theta-rad")
        turning = self._read("velocities/r-rad_sec") * tan(_within(bank_rad, 1.0))
        rate_wanted = _within(pitch_error_rad / max(cos(bank_rad), 0.5), 0.2) + turning
        rate_error = rate_wanted - self._read("velocities/q-rad_sec")
        self._add("pitch", 2.0 * rate_error, 0.6)
        stick = (1.5 * rate_error + self._integral["pitch"]) / self._pitch_power
        self._fdm["fcs/elevator-cmd-norm"] = _within(self._elevator + stick * scale, 1.0)

    def _power(self, controls: Controls) -> None:
        frame = self._airframe
        wanted_kt = min(max(controls.ias_kt, frame.slowest_kt), frame.fastest_kt)
        error_kt = wanted_kt - self._read("velocities/vc-kts")
        rate_wanted = _within(0.15 * error_kt, 1.5)
        rate_kt_s = self._read("accelerations/udot-ft_sec2") / _FT_S_PER_KT
        rate_error = rate_wanted - rate_kt_s
        path = self._read("velocities/h-dot-fps") / max(self._read("velocities/vt-fps"), 50.0)
        throttle = self._throttle + 0.06 * rate_error + self._integral["throttle"] + 3.0 * path
        if 0.0 < throttle < 1.0 or (throttle <= 0.0) == (rate_error > 0.0):
            self._add("throttle", 0.03 * rate_error, 1.0)
        self._fdm["fcs/throttle-cmd-norm"] = min(max(throttle, 0.0), 1.0)

    def _add(self, name: str, rate: float, most: float) -> None:
        self._integral[name] = _within(self._integral[name] + rate * _CONTROL_S, most)


def _within(value: float, most: float) -> float:
    return min(max(value, -most), most)


@contextlib.contextmanager
def _silent() -> Any:  # noqa: ANN401 - a context manager
    """The library writes its banner to file descriptor 1; keep it from what we print."""
    saved = os.dup(1)
    with open(os.devnull, "wb") as nowhere:  # noqa: PTH123 - a descriptor is needed
        os.dup2(nowhere.fileno(), 1)
    try:
        with contextlib.redirect_stdout(io.StringIO()):
            yield
    finally:
        os.dup2(saved, 1)
        os.close(saved)


def _loaded(airframe: Airframe) -> Any:  # noqa: ANN401 - the library has no types
    with _silent():
        import jsbsim  # noqa: PLC0415 - an extra, imported late

        fdm = jsbsim.FGFDMExec(jsbsim.get_default_root_dir())
        fdm.set_debug_level(0)
        fdm.load_model(airframe.name)
        fdm.set_dt(_DT_S)
    return fdm
