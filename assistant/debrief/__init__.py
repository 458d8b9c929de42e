"""Debrief: what was flown against what was due, from a flight log alone."""
