"""The plan for today's conditions, on the screen, on one page and as words."""
