"""Saying words aloud: rendering sentences to sound, keeping them, playing them to a device."""
