"""The sums of instrument flying: plain functions of floats, knowing nothing of procedures or pilots."""
