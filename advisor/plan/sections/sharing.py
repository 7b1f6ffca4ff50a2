"""Which other animals may share a pack or follow on it, and which never: pair by pair, with the reason."""

from __future__ import annotations

from advisor.knowledge import Knowledge
from advisor.plan.voice import Voice, sentences

__all__ = ["may_follow", "pair_words", "sharing_lines"]


def sharing_lines(voice: Voice) -> list[str]:
    """A sentence for each kind of animal against each other one that is on the farm or will use the pack."""
    own = sorted({voice.knowledge.animals[group.class_].species for group in voice.plan.farm.groups})
    others = _users(voice)
    lines: list[str] = []
    for kept in own:
        for other in sorted({*own, *others} - {kept}):
            if other in own and other < kept:
                continue  # the pair was told from the other side
            lines.append(pair_words(voice.knowledge, kept, other, both_kept=other in own))
    return lines


def _users(voice: Voice) -> set[str]:
    """Other kinds that use the pack: as told, and those that turn it."""
    told = set(voice.plan.farm.shares_pack or ()) & _kinds(voice)
    by = voice.plan.facts.get("turned_by")
    return told | ({"pigs"} if by == "pigs" else set()) | ({"poultry"} if by == "hens" else set())


def _kinds(voice: Voice) -> set[str]:
    return {str(entry.species) for entry in voice.knowledge.animals.values()}


def pair_words(knowledge: Knowledge, kept: str, other: str, both_kept: bool = False) -> str:
    """What may come on the pack of `kept` after it, and what of the other way round, with the reason."""
    said = sentences()
    words = {"kept": said[f"kind_{kept}"], "other": said[f"kind_{other}"]}
    words["Kept"], words["Other"] = (words[name][0].upper() + words[name][1:] for name in ("kept", "other"))
    after, before = may_follow(knowledge, kept, other), may_follow(knowledge, other, kept)
    name = {
        ("never", "never"): "share_never",
        ("may", "may"): "share_may_both",
        ("may", "never"): "share_may_after",
        ("never", "may"): "share_may_before",
        ("may", ""): "share_may_one",
        ("", "may"): "share_may_one_back",
    }.get((after, before))
    if name is None:
        name = "share_never" if "never" in (after, before) else "share_unknown"
    reason = said.get(f"share_why_{'_'.join(sorted((kept, other)))}", "")
    apart = [said["share_apart"]] if both_kept and "never" in (after, before) else []
    return " ".join(part for part in (said[name].format(**words), reason, *apart) if part)


def may_follow(knowledge: Knowledge, kept: str, other: str) -> str:
    """'never', 'may' or '': whether the other kind may come on the pack of this one, by any of its classes."""
    classes = [entry for entry in knowledge.animals.values() if entry.species == kept]
    if any(other in entry.never_with for entry in classes):
        return "never"
    return "may" if any(other in entry.may_follow for entry in classes) else ""
