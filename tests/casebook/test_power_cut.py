"""The power goes at every single system call; whatever had been acknowledged is there afterwards."""

from __future__ import annotations

import random
from contextlib import nullcontext, suppress
from pathlib import Path

import pytest

from advisor.casebook import Casebook, CasebookError, append, undo
from advisor.casebook.errors import UnknownCaseError
from tests.casebook.forgetful import ForgetfulCalls, PowerCutError
from tests.casebook.samples import DAY, sample

HOME = Path("/people/anna/byrewise")
LUCKY_DISKS = 4
Promised = dict[str, list[str] | None]


def book_on(calls: ForgetfulCalls) -> Casebook:
    return Casebook(HOME, calls, lambda path: nullcontext())


def a_winter(book: Casebook, must: Promised) -> None:
    """Everything a casebook does. `must` holds what has to be there from now on (None: has to be gone)."""
    book.create("byre", DAY)
    must["byre"] = []
    said: list[str] = []
    with book.open("byre") as held:
        for message in ("six cows", "8 m by 12 m " + "x" * 120, "wood chips"):
            held.keep(append(held.case, DAY, message, [{"words": message}]))
            said.append(message)
            must["byre"] = list(said)
        held.keep(undo(held.case, DAY, "undo"))
        said.append("undo")
        must["byre"] = list(said)
    book.add(sample())
    must["Lower byre"] = [event.message for event in sample().events]
    book.copy("byre", "copy")
    must["copy"] = list(said)
    book.rename("copy", "Copy")
    del must["copy"]  # while it is going it may be there or not
    book.rename("copy", "other")
    must.update(other=list(said), copy=None)
    del must["Lower byre"]
    book.delete("Lower byre")
    must["Lower byre"] = None
    with book.open("other") as held:
        held.keep(append(append(held.case, DAY, "two at once"), DAY, "put 4 bales on"))
        must["other"] = [*said, "two at once", "put 4 bales on"]


def lost(calls: ForgetfulCalls, must: Promised) -> list[str]:
    """What was acknowledged and is not so on this disk; and whether one can go on from there."""
    book, faults = book_on(calls), []
    for entry in book.entries():
        if entry.problem:
            faults.append(f"unreadable: {entry.problem}")
    for name, said in must.items():
        try:
            case = book.read(name).case
        except UnknownCaseError:
            if said is not None:
                faults.append(f"{name} is gone")
            continue
        except CasebookError as problem:
            faults.append(str(problem))
            continue
        here = [event.message for event in case.events]
        if said is None:
            faults.append(f"{name} is back")
        elif here[: len(said)] != said:
            faults.append(f"{name} holds {here}, not {said}")
        else:
            with book.open(name) as held:
                held.keep(append(held.case, DAY, "go on"))
            log = book.read(name)
            if log.damage or [event.message for event in log.case.events] != [*here, "go on"]:
                faults.append(f"{name} could not go on")
    return faults


def cut_everywhere(syncs: bool = True) -> list[str]:
    whole = ForgetfulCalls()
    a_winter(book_on(whole), {})
    faults: list[str] = []
    for cut_at in range(whole.calls + 1):
        calls = ForgetfulCalls(cut_at=cut_at, syncs=syncs)
        must: Promised = {}
        with suppress(PowerCutError):
            a_winter(book_on(calls), must)
        for luck in (None, *(random.Random(f"{cut_at} {draw}") for draw in range(LUCKY_DISKS))):
            faults += [f"cut at {cut_at}: {fault}" for fault in lost(calls.after_cut(luck), must)]
    return faults


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_wherever_the_power_goes() -> None:
    assert cut_everywhere() == []


def test_a_rename_cut_short_leaves_the_case_under_one_name_at_least() -> None:
    whole = ForgetfulCalls()
    book_on(whole).add(sample())
    begun = whole.calls
    book_on(whole).rename("Lower byre", "other")
    for cut_at in range(begun, whole.calls + 1):
        calls = ForgetfulCalls(cut_at=cut_at)
        book_on(calls).add(sample())
        with suppress(PowerCutError):
            book_on(calls).rename("Lower byre", "other")
        for luck in (None, *(random.Random(draw) for draw in range(LUCKY_DISKS))):
            entries = book_on(calls.after_cut(luck)).entries()
            assert entries
            assert all(entry.case and entry.case.events == sample().events for entry in entries)


@pytest.mark.slow
def test_the_forgetful_disk_would_tell_if_a_sync_were_missing() -> None:
    faults = cut_everywhere(syncs=False)
    assert any("is gone" in fault for fault in faults)


@pytest.mark.parametrize("forgotten", ["file", "folder"])
def test_each_kind_of_sync_is_needed(forgotten: str) -> None:
    class OneKind(ForgetfulCalls):
        def fsync(self, fd: int, /) -> None:
            kind = "file" if type(self._handles[fd].node).__name__ == "File" else "folder"
            if kind != forgotten:
                super().fsync(fd)

    calls = OneKind()
    book_on(calls).add(sample())
    assert lost(calls.after_cut(None), {"Lower byre": [event.message for event in sample().events]})
