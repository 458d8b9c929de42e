"""Hearing: microphone or recording to words, or to a refusal."""
