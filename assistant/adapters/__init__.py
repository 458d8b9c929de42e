"""Thin shells to the world: keyboard and screen."""
