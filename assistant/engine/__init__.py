"""The event engine: follows a flight along a plan and says what is due."""
