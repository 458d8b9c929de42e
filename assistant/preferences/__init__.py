"""Conditions of the day and a pilot's own settings, from flags and small YAML files."""
