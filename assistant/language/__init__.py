"""Words in and words out: numbers, phrases, callouts."""
