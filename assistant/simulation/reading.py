"""A report as a pilot reads it out: the needles with their errors, rounded as they are read."""

from random import Random

from assistant.procedure.model import Datum
from assistant.simulation.habits import Habits
from assistant.simulation.panel import Panel

# Words a second while reading out; a figure is a word.
_WORDS_PER_S = 3.0


def position_report(
    panel: Panel, datum: Datum, habits: Habits, random: Random, *, form: str, slip: bool
) -> str:
    """
    What is said: `form` is "full" (radial, range, altitude), "brief" (range, altitude) or "arrival".

    slip: a digit of the range goes wrong.
    """
    radial = round(panel.radial_deg + random.gauss(0.0, habits.radial_error_deg)) % 360 or 360
    dme_nm = max(panel.dme_nm + random.gauss(0.0, habits.dme_error_nm), 0.1)
    if slip:
        dme_nm += random.choice((-2.0, -1.0, 1.0, 2.0, 10.0)) if dme_nm > 3.0 else 2.0
    step_ft = habits.altitude_step_ft
    shown_ft = max(round(panel.indicated_ft / step_ft) * step_ft, step_ft)
    level = f"FL{round(panel.indicated_ft / 100.0)}" if datum is Datum.STANDARD else f"{shown_ft:.0f}"
    match form:
        case "arrival":
            heading = round(panel.heading_mag_deg) % 360 or 360
            return f"radial {radial:03d}, {dme_nm:.1f} DME, {level}, heading {heading:03d}"
        case "full":
            return f"radial {radial:03d} {dme_nm:.1f} DME {level}"
        case _:
            return (
                f"{dme_nm:.1f} DME {level}"
                if random.random() < 0.5
                else f"range {dme_nm:.1f} passing {level}"
            )


def saying_s(text: str) -> float:
    """How long a pilot takes to say it, s."""
    return (sum(character.isdigit() for character in text) + len(text.split()) / 2.0) / _WORDS_PER_S + 0.3
