"""
`Flight`: the one way for tests to fly an approach.

    flight = Flight("procedures/skarrow-tacan-24.yaml", wind("250/15"))
    flight.pilot("passing BELIM")
    flight.wait_s(30)
    assert flight.last == "..."

It drives the dialogue by ticks at the moments it asks for, so an hour passes in milliseconds, and everything
from the transcript on is what a live flight runs.
"""

from pathlib import Path

from assistant.conversation import Conversation, hear_and_speak, run_until
from assistant.dialogue import Dialogue, Prompting
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.events import StageEntered
from assistant.flight_log import NotSpoken, Record, Spoken
from assistant.language.transcript import Transcript
from assistant.preferences.settings import settings_from_flags
from assistant.procedure.load import load_procedure

ROOT = Path(__file__).resolve().parent.parent


class Flight:
    """A flight of a procedure file (absolute, or a path from the root of the project) in given conditions."""

    def __init__(
        self,
        procedure_file: str | Path,
        conditions: Conditions | None = None,
        prompting: Prompting = Prompting.FULL,
    ) -> None:
        path = ROOT / procedure_file
        self.procedure = load_procedure(path.read_text(encoding="utf-8"), str(procedure_file))
        self.plan = compile_plan(self.procedure, conditions or Conditions())
        self.conversation = Conversation(Dialogue(self.plan, prompting))
        self.records: list[Record] = []
        self.now_s = 0.0

    @classmethod
    def with_flags(cls, procedure_file: str | Path, flags: str) -> "Flight":
        """A flight in the conditions that a command line would give: `--wind 250/15 --qnh 996`."""
        settings = settings_from_flags(flags.split())
        path = ROOT / procedure_file
        procedure = load_procedure(path.read_text(encoding="utf-8"), str(procedure_file))
        return cls(procedure_file, settings.conditions(procedure), settings.prompting or Prompting.FULL)

    def pilot(self, text: str) -> tuple[str, ...]:
        """The pilot says something now; what is said in return at once."""
        transcript = Transcript(text=text, started_t_s=self.now_s, ended_t_s=self.now_s)
        before = len(self.records)
        self.records.extend(run_until(self.conversation, self.now_s))
        self.records.extend(hear_and_speak(self.conversation, transcript, self.now_s))
        return _texts(self.records[before:])

    def wait_s(self, duration_s: float) -> tuple[str, ...]:
        """Time passes; what is said in it."""
        before = len(self.records)
        self.now_s += duration_s
        self.records.extend(run_until(self.conversation, self.now_s))
        return _texts(self.records[before:])

    @property
    def heard(self) -> tuple[str, ...]:
        """Everything said so far, in order."""
        return _texts(self.records)

    @property
    def last(self) -> str:
        """The last words said, empty before the first."""
        return self.heard[-1] if self.heard else ""

    @property
    def unspoken(self) -> tuple[NotSpoken, ...]:
        """What was decided and not said, with the reasons."""
        return tuple(record for record in self.records if isinstance(record, NotSpoken))

    @property
    def stage(self) -> str:
        """The stage last entered, empty before the first."""
        stages = [record.stage for record in self.records if isinstance(record, StageEntered)]
        return stages[-1] if stages else ""


def _texts(records: list[Record]) -> tuple[str, ...]:
    return tuple(record.text for record in records if isinstance(record, Spoken))
