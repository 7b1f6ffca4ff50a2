"""The bytes of a case file, whole and hurt."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.casebook.as_json import NewerFormError, UnreadableError, header_to_json, line_of
from advisor.casebook.events import Case, append
from advisor.casebook.log import log_bytes, read_log, renamed_bytes
from tests.casebook.samples import DAY, cases, sample


def whole(case: Case) -> bytes:
    return line_of(header_to_json(case)) + log_bytes(case.events)


@given(cases())
def test_there_and_back(case: Case) -> None:
    log = read_log(whole(case))
    assert (log.case, log.damage, log.keep_bytes) == (case, (), len(whole(case)))
    assert not log.line_end_wanting


def test_cut_at_every_byte_it_loads_what_is_whole_or_says_what_is_wrong() -> None:
    case = sample()
    data = whole(case)
    heading_bytes = len(line_of(header_to_json(case)))
    for cut in range(len(data) + 1):
        piece = data[:cut]
        if cut < heading_bytes - 1:
            with pytest.raises(UnreadableError):
                read_log(piece)
            continue
        log = read_log(piece)
        whole_lines = [line for line in data[heading_bytes:].split(b"\n") if line]
        present = [line for line in piece[heading_bytes:].split(b"\n") if line in whole_lines]
        assert log.case.events == case.events[: len(present)], cut
        assert all(damage.torn for damage in log.damage), cut
        mended = piece[: log.keep_bytes] + (b"\n" if log.line_end_wanting else b"")
        again = read_log(mended + log_bytes(case.events[len(present) :]))
        assert (again.case, again.damage) == (case, ()), cut


@settings(max_examples=300)
@given(st.data())
def test_any_hurt_to_the_bytes_is_read_around_or_refused(data: st.DataObject) -> None:
    hurt = bytearray(whole(sample()))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(hurt) - 1))
        length = data.draw(st.integers(0, 40))
        hurt[at : at + length] = data.draw(st.binary(max_size=10) | st.just(b"\n") | st.just(bytes(length)))
        if not hurt:
            return
    try:
        log = read_log(bytes(hurt))
    except (UnreadableError, NewerFormError):
        return
    longer = append(log.case, DAY, "one more")
    line_end = b"\n" if log.line_end_wanting else b""
    mended = bytes(hurt)[: log.keep_bytes] + line_end + log_bytes(longer.events[-1:])
    again = read_log(mended)
    assert again.case == longer
    assert again.damage == tuple(damage for damage in log.damage if not damage.torn)


def test_a_hurt_line_in_the_middle_costs_that_line_only() -> None:
    case = sample()
    lines = whole(case).split(b"\n")
    lines[2] = lines[2][:20]
    data = b"\n".join(lines)
    log = read_log(data)
    assert [event.number for event in log.case.events] == [1, 3, 4, 5]
    assert [(damage.line, damage.torn) for damage in log.damage] == [(3, False)]
    assert log.keep_bytes == len(data)  # nothing is cut away
    assert "Line 3 cannot be read" in str(log.damage[0])


def test_zero_bytes_from_a_power_cut_are_passed_over() -> None:
    case = sample()
    log = read_log(whole(case) + bytes(500))
    assert (log.case, log.damage) == (case, ())
    log = read_log(whole(case) + b'{"number":6,"at"' + bytes(500))
    assert [damage.torn for damage in log.damage] == [True]
    assert log.keep_bytes == len(whole(case))


@pytest.mark.parametrize("foreign", [b"shopping: milk", b'{"number":1,"extra":true}', b"[]"])
def test_an_unended_line_that_is_not_ours_is_never_cut_away(foreign: bytes) -> None:
    data = whole(sample()) + foreign
    log = read_log(data)
    assert [damage.torn for damage in log.damage] == [False]
    assert (log.keep_bytes, log.line_end_wanting) == (len(data), True)


def test_a_torn_line_keeps_its_words_for_the_user_to_see() -> None:
    log = read_log(whole(sample()) + b'{"number":6,"at":"2026-10-04","kind":"said","message":"put 4 ba')
    assert "put 4 ba" in log.damage[0].text
    assert "cut short" in str(log.damage[0])


def test_line_ends_of_another_system_do_no_harm() -> None:
    log = read_log(whole(sample()).replace(b"\n", b"\r\n"))
    assert (log.case, log.damage) == (sample(), ())


def test_a_new_name_leaves_every_other_byte_alone() -> None:
    data = whole(sample()) + b"not ours\n" + b'{"number":9,"a'
    renamed = renamed_bytes(data, read_log(data).case, "Upper byre")
    assert renamed.partition(b"\n")[2] == data.partition(b"\n")[2]
    assert read_log(renamed).case.name == "Upper byre"
