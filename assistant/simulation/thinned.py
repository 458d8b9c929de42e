"""A flight's track thinned for drawing: a point every few seconds, and the profile of its final approach."""

from dataclasses import dataclass

from assistant.engine.events import StageEntered
from assistant.nav.geometry import FT_PER_NM
from assistant.simulation.flight import Flown

_EVERY_S = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Thinned:
    """Places in the station's plane, NM; the final approach as range (NM) and altitude (ft)."""

    east_nm: tuple[float, ...]
    north_nm: tuple[float, ...]
    final_dme_nm: tuple[float, ...]
    final_ft: tuple[float, ...]


def thinned(flown: Flown) -> Thinned:
    """The track of a flight, a point every five seconds."""
    samples = flown.samples[::_EVERY_S]
    final_s = next(
        (
            record.t_s
            for record in flown.records
            if isinstance(record, StageEntered) and record.stage == "final"
        ),
        float("inf"),
    )
    elevation_ft = flown.plan.procedure.navaid.elevation_ft
    final = [sample for sample in samples if sample.t_s >= final_s - 60.0]
    return Thinned(
        east_nm=tuple(round(sample.point[0], 3) for sample in samples),
        north_nm=tuple(round(sample.point[1], 3) for sample in samples),
        final_dme_nm=tuple(
            round(
                (
                    sample.point[0] ** 2
                    + sample.point[1] ** 2
                    + ((sample.altitude_ft - elevation_ft) / FT_PER_NM) ** 2
                )
                ** 0.5,
                3,
            )
            for sample in final
        ),
        final_ft=tuple(round(sample.altitude_ft) for sample in final),
    )
