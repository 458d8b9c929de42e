"""Progress: the marks of many flights, kept on this machine, and what to fly next."""
