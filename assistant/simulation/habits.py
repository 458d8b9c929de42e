"""What makes one pilot differ from the next: reaction, reading, steering, and how often one errs."""

from dataclasses import dataclass
from random import Random


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """
    One pilot. Times in seconds; a share is of all occasions.

    reaction_s: from having heard to beginning to act. heading_error_deg, rate_error_share: standard
    deviation of what is flown from what was said. aim_above_ft: how far above a level the pilot stays.
    radial_error_deg, dme_error_nm: standard deviation of a reading before it is rounded as it is read out.
    report_every_s, report_every_final_s: the rhythm of reports. forgets, misreads, mishears, turns_late: how
    often a report is left out, a digit slips, a heading is taken for another, a turn begins seconds late.
    """

    reaction_s: float = 2.0
    heading_error_deg: float = 1.5
    rate_error_share: float = 0.08
    aim_above_ft: float = 25.0
    radial_error_deg: float = 0.7
    dme_error_nm: float = 0.04
    altitude_step_ft: float = 20.0
    report_every_s: float = 28.0
    report_every_final_s: float = 18.0
    forgets: float = 0.04
    misreads: float = 0.003
    mishears: float = 0.003
    turns_late: float = 0.02


STEADY = Habits(
    heading_error_deg=0.0,
    rate_error_share=0.0,
    radial_error_deg=0.0,
    dme_error_nm=0.0,
    forgets=0.0,
    misreads=0.0,
    mishears=0.0,
    turns_late=0.0,
)
"""A pilot without errors: reacts after two seconds, reads and flies what is there."""


def habits_of(random: Random) -> Habits:
    """Some pilot: reaction 0.5 to 3 s, a rhythm of their own, errors as usual."""
    return Habits(
        reaction_s=random.uniform(0.5, 3.0),
        aim_above_ft=random.uniform(15.0, 40.0),
        report_every_s=random.uniform(22.0, 32.0),
        report_every_final_s=random.uniform(14.0, 20.0),
    )
