"""Figures as they are written on screen and page."""

from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed, Trigger
from assistant.procedure.model import Fix


def degrees(angle_deg: float) -> str:
    """A heading, course or radial in three digits; north is 360."""
    return f"{round(angle_deg) % 360 or 360:03d}"


def miles(dme_nm: float) -> str:
    """A range to tenths, without a needless nought."""
    return f"{dme_nm:.1f}".removesuffix(".0")


def clock(time_s: float) -> str:
    """Minutes and seconds."""
    minutes, seconds = divmod(round(time_s), 60)
    return f"{minutes}:{seconds:02d}"


def fix_place(fix: Fix) -> str:
    """A fix as radial and range."""
    if fix.radial_deg is None:
        return "overhead"
    return f"R{degrees(fix.radial_deg)} {miles(fix.dme_nm)} DME"


def trigger_place(trigger: Trigger) -> str:
    """Where an event is: by radial, range or time; empty where only a reading of altitude shows it."""
    match trigger:
        case DmeReached(dme_nm=dme_nm):
            return f"{miles(dme_nm)} DME"
        case RadialReached(radial_deg=radial_deg):
            return f"R{degrees(radial_deg)}"
        case TimeElapsed(time_s=time_s):
            return clock(time_s)
        case AltitudeCrossed():
            return ""
        case _:
            return "as stated"
