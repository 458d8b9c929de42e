"""The command line: the only place where parts are chosen and joined."""
