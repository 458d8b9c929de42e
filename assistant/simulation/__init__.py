"""The closed loop: an aircraft flown by nothing but the callouts, and what such flights show."""
