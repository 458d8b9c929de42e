"""The caution that every session, briefing and printed page carries."""

CAUTION = (
    "Simulation and training only. A real flight follows the current published chart, local procedures and "
    "licensed instruction."
)
