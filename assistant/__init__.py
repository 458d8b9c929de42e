"""leadradial: the second person in a sim pilot's cockpit. Simulation and training only."""
