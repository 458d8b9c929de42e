"""
The tolerances of published test standards, by name.

What a standard does not state is None and is not marked under it. Needle deflections are angles from the
station: full scale of a VOR or TACAN needle is 10 degrees either side (FAA AIM 1-1-4; the HSI's usual scale).
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """
    What a test standard allows.

    altitude_ft: either way, before the final approach. minimum_above_ft, minimum_below_ft: about the minimum
    once reached. arc_nm: either side of an arc. course_deg: either side of a course, as the needle shows it.
    """

    name: str
    title: str
    source: str
    altitude_ft: float
    minimum_above_ft: float
    minimum_below_ft: float
    course_deg: float
    arc_nm: float | None


ACS = Standard(
    name="acs",
    title="FAA Instrument Rating ACS",
    # IR.III.B.S4, IR.V.A.S5, IR.VI.A.S9: 100 ft, three quarters of full scale; IR.V.A.S6: an arc within 1 NM;
    # IR.VI.A.S12: MDA +100/-0 ft. Read in transcriptions of the standard (docs/debrief.md).
    source="FAA-S-ACS-8C: IR.III.B.S4, IR.V.A.S5 and S6, IR.VI.A.S9 and S12",
    altitude_ft=100.0,
    minimum_above_ft=100.0,
    minimum_below_ft=0.0,
    course_deg=7.5,
    arc_nm=1.0,
)
PART_FCL = Standard(
    name="part-fcl",
    title="EU/UK Part-FCL instrument rating test",
    # Height 100 ft, minimum descent height +50/-0 ft, tracking on radio aids 5 degrees; nothing of arcs.
    source="Regulation (EU) 1178/2011, Annex I, Appendix 7, paragraph 11",
    altitude_ft=100.0,
    minimum_above_ft=50.0,
    minimum_below_ft=0.0,
    course_deg=5.0,
    arc_nm=None,
)
STANDARDS = {standard.name: standard for standard in (ACS, PART_FCL)}
