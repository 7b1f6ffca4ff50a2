"""For the conversation and the command line: notes in, one line of echo out."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence

from pydantic import ValidationError

from advisor.farm import Farm
from advisor.farm.facts import complete
from advisor.knowledge import Knowledge
from advisor.plan.voice import sentences
from advisor.plan.wording import Units, say_date
from advisor.record.entries import Entry, Record, read_entry
from advisor.record.hearing import hear
from advisor.record.ready import RecordError, ready_farm
from advisor.record.saying import entry_words

__all__ = ["heard_words", "noted", "read_notes"]


def heard_words(bedding: str | None, amount: str | None, entry: str | None) -> str:
    """The explicit form as a message."""
    if entry:
        return entry
    if not amount:
        raise RecordError("Say what to note, such as: add '4 bales yesterday'.")
    return f"put on {amount} of {bedding}" if bedding else f"put on {amount}"


def read_notes(
    message: str,
    farm: Farm,
    record: Record,
    knowledge: Knowledge,
    today: dt.date,
    *,
    entry: str | None = None,
    date: dt.date | None = None,
    pen: str = "",
    us: bool = False,
    note: bool = False,
) -> list[Entry]:
    """The entries of a message, checked against the farm. Raises RecordError with what to say instead.

    `note`: the message is known to be a note, as after `season CASE add`.
    """
    if entry:
        found = [_from_json(entry)]
    else:
        from advisor.language import lexicon

        try:
            words = lexicon(knowledge)
            heard = hear(message, complete(farm, knowledge), knowledge, words, today, us, note)
        except ValidationError as wrong:
            raise RecordError(_reason(wrong)) from wrong
        if not heard.entries:
            raise RecordError(heard.ask or f"I did not follow '{message}'. Try: 4 bales yesterday.")
        found = list(heard.entries)
    changes = {**({"date": date} if date else {}), **({"pen": pen} if pen else {})}
    found = [each.model_copy(update=changes) for each in found]
    if any(each.date > today for each in found):
        raise RecordError("That day is still to come. Note it when it is done.")
    ready_farm(farm, Record.of([*record, *found]), knowledge, today)
    return found


def noted(entries: Sequence[Entry], units: Units, knowledge: Knowledge) -> str:
    """One line saying what was understood."""
    parts = [
        f"{entry_words(entry, units, knowledge)}, {_when(entry, units)}"
        + (f", {entry.pen}" if entry.pen else "")
        for entry in entries
    ]
    return f"Noted: {'; '.join(parts)}."


def _when(entry: Entry, units: Units) -> str:
    date = say_date(entry.date, units, year=False)
    return sentences("season")["note_from"].format(date=date) if getattr(entry, "days", 1) > 1 else date


def _from_json(text: str) -> Entry:
    try:
        raw = json.loads(text)
        if not isinstance(raw, dict):
            raise RecordError("An entry is a JSON object with at least kind and date.")
        return read_entry(raw)
    except json.JSONDecodeError as fault:
        raise RecordError(f"That is not JSON: {fault}.") from fault
    except ValidationError as wrong:
        raise RecordError(_reason(wrong)) from wrong


def _reason(wrong: ValidationError) -> str:
    first = wrong.errors()[0]
    where = ".".join(str(part) for part in first["loc"][1:])
    message = str(first["msg"]).removeprefix("Value error, ")
    return f"That cannot be noted: {where + ': ' if where else ''}{message}."
