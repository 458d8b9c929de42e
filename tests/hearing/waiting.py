"""What other threads said, waited for."""

import queue

WAIT_S = 5.0


class Told:
    """What a switch says, in the order in which it said it, from whatever thread."""

    def __init__(self):
        self._said = queue.Queue()

    def __call__(self, what):
        self._said.put(what)

    def next(self):
        return self._said.get(timeout=WAIT_S)

    def is_empty(self):
        return self._said.empty()
