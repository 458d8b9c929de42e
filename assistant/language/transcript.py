"""What the pilot said, as words with their times: the one type that keyboard and microphone both produce."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Transcript:
    """
    One utterance, typed or recognised.

    `started_t_s` and `ended_t_s` are seconds since the session began. A reading in it was true when the pilot
    began to speak. `confidence` is the recogniser's, 0 to 1; a typed line has 1.
    """

    text: str
    started_t_s: float
    ended_t_s: float
    confidence: float = 1.0
