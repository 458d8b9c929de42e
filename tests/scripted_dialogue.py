"""A dialogue that does what a test tells it to, and lines typed to it: for what lies around dialogues."""

from assistant.dialogue import Unsaid, Utterance
from assistant.engine.events import Callout, CalloutKind, NotUnderstood, Priority
from assistant.language.transcript import Transcript
from assistant.session import Talking


def callout(words, t_s, priority=Priority.ACTION):
    return Callout(t_s=t_s, expires_t_s=t_s + 10.0, kind=CalloutKind.TEXT, priority=priority, cue=words)


class ScriptedDialogue:
    """
    Decides to say `due[t_s]` at those times, and `answers[text]` when it hears a text.

    Each is a list of (priority, words). What is heard and unknown to it is NotUnderstood.
    """

    def __init__(self, due=None, answers=None):
        self._due = dict(due or {})
        self._answers = answers or {}
        self._queue = []
        self._unsaid = []

    @property
    def wake_at_s(self):
        return min(self._due, default=None)

    def receive(self, transcript, now_s):
        if transcript.text not in self._answers:
            return (NotUnderstood(t_s=now_s, text=transcript.text, reason="not in the script"),)
        return self._decide(self._answers[transcript.text], now_s)

    def tick(self, now_s):
        outputs = ()
        for t_s in sorted(t_s for t_s in self._due if t_s <= now_s):
            outputs += self._decide(self._due.pop(t_s), t_s)
        return outputs

    def _decide(self, lines, t_s):
        made = tuple(callout(words, t_s, priority) for priority, words in lines)
        self._queue.extend(made)
        return made

    def next_words(self, now_s):
        late = [each for each in self._queue if each.expires_t_s < now_s]
        self._unsaid += [Unsaid(t_s=now_s, callout=each, reason="expired") for each in late]
        self._queue = sorted(
            (each for each in self._queue if each not in late), key=lambda each: each.priority
        )
        if not self._queue:
            return None
        said = self._queue.pop(0)
        return Utterance(t_s=now_s, text=said.cue, short=said.cue, callout=said)

    def is_waiting_above(self, priority, now_s):
        return any(each.priority < priority and now_s <= each.expires_t_s for each in self._queue)

    def put_back(self, callout):
        self._queue.insert(0, callout)

    def take_unsaid(self):
        taken, self._unsaid = tuple(self._unsaid), []
        return taken


async def typed(clock, lines):
    """A source of lines (time, text); (time, True) and (time, False): the pilot begins and ends to talk."""
    for t_s, text in lines:
        await clock.sleep_until(t_s)
        if isinstance(text, bool):
            yield Talking(is_talking=text)
        else:
            yield Transcript(text=text, started_t_s=t_s, ended_t_s=t_s)
