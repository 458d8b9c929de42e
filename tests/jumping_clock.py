"""A clock for sessions that need no time."""

import asyncio


class JumpingClock:
    """A clock that jumps to the next moment anyone waits for as soon as nothing else is left to do."""

    def __init__(self, early_s=0.0):
        self._now_s = 0.0
        self._early_s = early_s
        self._waiting = []

    def now_s(self):
        return self._now_s

    async def sleep_until(self, t_s):
        come = asyncio.get_running_loop().create_future()
        self._waiting.append((t_s, come))
        await come

    async def run(self):
        while True:
            for _ in range(30):  # let everything that can happen at this moment happen
                await asyncio.sleep(0)
            self._waiting = [(t_s, come) for t_s, come in self._waiting if not come.done()]
            if self._waiting:
                t_s, come = min(self._waiting, key=lambda waiting: waiting[0])
                self._now_s = max(self._now_s, t_s - self._early_s)
                come.set_result(None)
