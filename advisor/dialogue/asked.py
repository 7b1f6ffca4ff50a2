"""Questions that keepers ask, answered from knowledge/asked: by the case's own plan, else by what is held.

The answer comes in a few lines: what was asked, the reason, the way on. 'why', 'how' and 'source' then open it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from advisor.dialogue.asked_patterns import asked_patterns
from advisor.dialogue.context import Heard
from advisor.dialogue.draft import Act, draft_of
from advisor.dialogue.phrases import normal, sentence, table
from advisor.dialogue.reply import Line
from advisor.dialogue.turn import Now, Outcome
from advisor.dialogue.whatif import numbered

if TYPE_CHECKING:
    from advisor.knowledge import Figure
    from advisor.knowledge.models_asked import Said
    from advisor.reasoning.engine import Node

__all__ = ["Answered", "answered", "asked_entry", "counsel", "reason_lines", "spoken_of"]

_RECORDED = ("answer", "volunteer", "correction")
_CLAUSE = re.compile(r"[;\n]|[.!?](?!\d)|,\s|\s(?:and|but|so|then)\s", re.IGNORECASE)
_BEFORE_SIGN = re.compile(r" ([,.;:])")  # a place may be filled with nothing


@dataclass(frozen=True)
class Answered:
    """An answer found: the entry, which of its answers, its lines and the figures that stand in it."""

    key: str
    number: int
    lines: tuple[Line, ...]
    figures: tuple[Figure, ...]
    node: Node | None
    sources: tuple[str, ...]

    def talk(self, text: str) -> Act:
        """What is then spoken of, and the words it was asked in."""
        return {"talk": {"asked": self.key, "text": text, **_named(self.node)}}


def counsel(now: Now, heard: Heard) -> Outcome | None:
    """Answer a message that asks one of the questions held; None where it asks none of them."""
    from advisor.dialogue import turn

    key = asked_entry(now.text, now)
    if key is None:
        return _no_answer(now, heard)
    entry = now.context.knowledge.asked[key]
    if heard.kind == "trouble" and not entry.in_trouble:
        return None
    if not entry.with_numbers and _supposes(now, heard):
        return None
    if entry.does and now.context.plan(now.draft) is not None:
        from advisor.dialogue import navigate

        return navigate.go(now, entry.does)
    if entry.in_trouble:
        return _in_trouble(now, key)
    told = _told_beside(now)
    if told is not None:
        case, reply, effects = turn.hear(*told)
        found = answered(replace(now, case=case, draft=draft_of(case)), key)
        if found is None:
            return None
        own = [line for line in reply.lines if line.role not in ("question", "choices")]
        rest = [line for line in reply.lines if line.role in ("question", "choices")]
        last = case.events[-1]
        if last.kind == "said":  # so that 'why' opens the answer
            last = replace(last, kind="asked", acts=(*last.acts, dict(found.talk(now.text))))
            case = replace(case, events=(*case.events[:-1], last))
        return case, replace(reply, lines=(*own, *found.lines, *rest)), effects
    found = answered(now, key)
    if found is None:
        return None
    return turn.finish(
        now, found.lines, [found.talk(now.text)], kind="asked", stay=True, sources=found.sources
    )


def _in_trouble(now: Now, key: str) -> Outcome | None:
    """Answer a question of a trouble by the signs told with it, and keep those."""
    from advisor.dialogue import turn
    from advisor.troubles.listening import evidence_in

    parts = [part.strip() for part in _CLAUSE.split(now.text) if part and part.strip()]
    rest = ", ".join(part for part in parts if asked_entry(part, now) is None)
    heard = turn.listened(replace(now, text=rest), None) if rest else None
    acts: list[Act] = []
    if heard is not None and heard.kind == "trouble":
        symptoms = [str(sign) for sign in heard.facts.get("symptoms") or ()]
        signs = evidence_in(now.context.knowledge, rest, symptoms, [])
        acts = [{"trouble": {**(now.draft.trouble or {}), **signs}}] if signs else []
    found = answered(replace(now, draft=draft_of(now.case, acts)), key)
    if found is None:
        return None
    acts.append(found.talk(now.text))
    return turn.finish(now, found.lines, acts, kind="asked", stay=True, sources=found.sources)


def _no_answer(now: Now, heard: Heard) -> Outcome | None:
    """'When do I take the pigs out' is a question, whatever it names: nothing in it is noted as an answer."""
    from advisor.dialogue import wondering
    from advisor.language.reading import Reading

    if heard.kind not in _RECORDED or not isinstance(heard, Reading) or not _plainly_asks(now.text):
        return None
    if any(letter.isdigit() for letter in now.text) or len(_CLAUSE.split(now.text.rstrip(" ?.!"))) > 1:
        return None
    return wondering.asked(now, replace(heard, kind="ask_fact", act="answer"))


def _plainly_asks(text: str) -> bool:
    """Whether the first words are those of a question and of nothing else."""
    words, leads = normal(text).split(), table("plain_question")
    if words[:1] and words[0] in leads["alone"]:
        return True
    pairs = (("first", "second"), ("verbs", "of_whom"))
    return len(words) > 1 and any(words[0] in leads[a] and words[1] in leads[b] for a, b in pairs)


def asked_entry(text: str, now: Now) -> str | None:
    """The entry whose longest pattern stands in the message."""
    from advisor.language import lexicon
    from advisor.language.scan import scan

    if len(text.split()) > 40:
        return None
    knowledge = now.context.knowledge
    words = lexicon(knowledge)
    tokens = scan(text, None, words, now.context.today).tokens
    hits = [
        hit for hit in asked_patterns(knowledge).hits(tokens) if hit.source.startswith("^") or _asks(text)
    ]
    if not hits:
        return None
    return max(hits, key=lambda hit: (_length(hit.source), -hits.index(hit))).name


def _asks(text: str) -> bool:
    """Whether the words are those of a question: a mark, or a clause that begins with a word that opens one."""
    leads, before = table("question_leads"), table("before_question")
    for part in _CLAUSE.split(text):
        words = normal(part).split()
        while words and words[0] in before:
            words.pop(0)
        if words and words[0] in leads:
            return True
    return "?" in text


def _length(pattern: str) -> int:
    """How much a pattern asks for: its words, gaps and exceptions left aside."""
    wanted = pattern.split(" ! ")[0]
    return sum(part not in ("..", "...", "^", "$", "&") and not part.endswith("?") for part in wanted.split())


def _supposes(now: Now, heard: Heard) -> bool:
    """Whether the question is about other animals or amounts than the farm's own: a calculation of its own."""
    said = f" {normal(now.text)} "
    facts = heard.facts
    if any(one.get("count") for one in facts.get("animals") or ()) and heard.kind.startswith("ask"):
        return not any(f" {word} " in said for word in table("telling_words"))
    if heard.kind == "ask_calc" and any(letter.isdigit() for letter in now.text):
        return not any(f" {word} " in said for word in table("telling_words"))
    what_if = any(f" {word} " in said for word in table("suppose"))
    what_if = what_if and (numbered(now.text, facts) or any(f" {word} " in said for word in table("instead")))
    return what_if and any(
        facts.get(name) for name in ("animals", "materials", "area_m2", "days", "start", "end")
    )


def _told_beside(now: Now) -> tuple[Now, Heard] | None:
    """The part of a message that tells something beside the question, and its reading; None where all of it asks."""
    parts = [part.strip() for part in _CLAUSE.split(now.text) if part and part.strip()]
    rest = [part for part in parts if asked_entry(part, now) is None and _tells(part)]
    if not rest or len(rest) == len(parts) or not any(letter.isalpha() for letter in "".join(rest)):
        return None
    from advisor.dialogue import turn

    beside = replace(now, text=", ".join(rest))
    heard = turn.listened(
        beside, beside.ask.neutral(now.draft, now.context.knowledge) if beside.ask else None
    )
    if heard.kind not in _RECORDED or not heard.facts:
        heard = turn.listened(beside, None)
    return (beside, heard) if heard.kind in _RECORDED and heard.facts else None


def _tells(part: str) -> bool:
    """Whether a piece of a message can tell something: 'chips' after 'can I mix straw and' does not."""
    return len(part.split()) > 1 or any(letter.isdigit() for letter in part)


def answered(now: Now, key: str) -> Answered | None:
    """The first answer of an entry whose condition holds and whose places can be filled."""
    from advisor.dialogue.asked_places import Places
    from advisor.reasoning.rules import condition_of

    entry = now.context.knowledge.asked[key]
    places = Places(now, entry)
    for other, when in entry.hands_to.items():
        if condition_of(when)(places.facts) is True:
            return answered(now, other)
    for number, said in enumerate(entry.answers):
        if condition_of(said.when)(places.facts) is not True:
            continue
        lines = _lines(said, places)
        if lines:
            node = places.result(entry.opens) if entry.opens else None
            figures = places.figures_in(said, entry)
            cited = [e.source for figure in figures for e in figure.evidence if e.source]
            sources = tuple(dict.fromkeys([*entry.sources, *cited]))
            if node is None:
                lines += _first_source(figures, now)
            return Answered(key, number, tuple(lines), figures, node, sources)
    return None


def _lines(said: Said, places: Mapping[str, Any]) -> list[Line]:
    """The lines of one answer; none where a place in what it says cannot be filled."""
    lines = []
    for part in (said.says, said.because, said.way_on):
        try:
            text = _BEFORE_SIGN.sub(r"\1", " ".join(part.format_map(places).split()))
        except KeyError:
            if part is said.says:
                return []
            continue
        if text:
            lines.append(Line("answer", text[0].upper() + text[1:]))
        if part is said.says and said.points:
            lines += [Line("point", each) for each in places.get(said.points, ())]
    return lines


def _first_source(figures: Iterable[Figure], now: Now) -> list[Line]:
    """Where the first number that was read somewhere comes from, where the answer is no result of the plan."""
    from advisor.dialogue.explain import figure_lines

    for figure in figures:
        lines, _ = figure_lines(figure, now.context.knowledge, now.units)
        cited = [line for line in lines if line.role == "source"]
        if cited:
            return cited[:1]
    return []


def spoken_of(now: Now) -> str | None:
    """The entry last answered, where that was what the last message asked."""
    talk, events = now.draft.talk, now.case.events
    if not talk or "asked" not in talk or not events or events[-1].kind not in ("asked", "reason"):
        return None
    key = str(talk["asked"])
    return key if key in now.context.knowledge.asked else None


def reason_lines(now: Now, key: str, command: str) -> tuple[list[Line], tuple[str, ...]]:
    """Why an answer is so: its reason and how its numbers were chosen; for 'how' and 'source', what they rest on."""
    from advisor.dialogue.explain import figure_lines, source_words

    found = answered(replace(now, text=str((now.draft.talk or {}).get("text", ""))), key)
    if found is None or (command == "sure" and not found.figures):
        return [], ()
    knowledge = now.context.knowledge
    said = knowledge.asked[found.key].answers[found.number]
    because = [line for line in found.lines[1:] if line.role == "answer"][:1] if said.because else []
    lines = because if command == "why" else []
    if command == "why" and found.node is not None and found.node.derivation is not None:
        lines.append(Line("answer", re.sub(r"\s*\[[^\]]*\]$", "", found.node.derivation.says)))
    for figure in found.figures[:2]:
        more, _ = figure_lines(figure, knowledge, now.units)
        wanted = ("source",) if command == "source" else ("answer", "source")
        lines += [line for line in more if line.role in wanted][:3]
    lines += [
        Line("source", source_words(source, knowledge)) for source in knowledge.asked[found.key].sources[:4]
    ]
    if command == "source" and not lines:
        lines = [Line("answer", sentence("asked_no_source"))]
    return lines, found.sources


def _named(node: Node | None) -> dict[str, str]:
    return {} if node is None else {"name": node.name, "kind": node.subject[0], "subject": node.subject[1]}
