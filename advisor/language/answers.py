"""Answers that lean on the question or on what was known before."""

from __future__ import annotations

from typing import Any

from advisor.language.found import Found, span_value
from advisor.language.meaning import Meaning
from advisor.language.reader import Reader
from advisor.language.segments import Segment

__all__ = ["Answers"]


class Answers(Reader):
    """Completes short answers: 'none', a name, two bales of a known weight."""

    def _as_answer(self, part: Segment) -> Segment:
        """'what we can fit' after a question is an answer, if a vague one."""
        tokens = self.part(part)
        if not part.question or any(t.text == "?" for t in tokens):
            return part
        texts = [t.text for t in tokens]
        if (
            texts[:1] in (["what"], ["whatever"], ["however"], ["when"], ["where"])
            and texts[1:2]
            and texts[1]
            in ("i", "we", "they", "he", "she", "it", "you", "the", "is", "grass", "ever", "there")
            and "unsure" not in self.hits
        ):
            if (texts[1] == "is" and texts[0] != "when") or (
                texts[1] in ("you", "the") and texts[0] != "when"
            ):
                return part
            return Segment(part.start, part.end, False)
        return part

    def _none(self, said: Found) -> None:
        """'none this year', after how many or how much."""
        words = self.words
        subject = self.scan.subject
        if (
            self.slot == "count"
            and subject
            and "one" in words
            and words & {"just", "only"}
            and not said.facts.get("animals")
        ):
            said.facts["animals"] = [{"class": subject, "count": 1}]
            return
        key = {"count": "no_animals", "amount": "no_materials"}.get(self.slot)
        plainly_none = self.tokens[0].text == "none" and not any(t.kind == "num" for t in self.tokens)
        if (
            key is None
            or not subject
            or said.facts.get("materials")
            or (
                any("count" in a for a in said.facts.get("animals") or ())
                and not plainly_none  # 'none at all, we borrow one'
            )
        ):
            return
        first = self.tokens[0].text
        line = " ".join(t.text for t in self.tokens)
        if (
            (
                first in ("none", "nil", "zero", "nothing", "nought", "no", "never", "not")
                and "unsure" not in self.hits
            )
            or words & {"none", "nil", "nought"}
            or any(phrase in f" {line} " for phrase in self.lexicon.phrases("none_left"))
        ):
            bucket = said.facts.setdefault(key, [])
            if subject not in bucket:
                bucket.append(subject)
            said.facts.pop("animals", None)
            said.clarify.clear()

    def _from_before(self, said: Found) -> None:
        """Complete an answer from what was known: the bales weighed, the herd fed."""
        materials = [m for m in self.before.get("materials", []) if isinstance(m, dict) and m.get("name")]
        animals = [a for a in self.before.get("animals", []) if isinstance(a, dict)]
        question = self.scan.asked
        if question is not None and question.of == "bale weight":
            weights = [q for q in said.facts.get("quantities", []) if q.get("of") == "bale weight"]
            named = said.facts.get("materials", [])
            target = (
                named[0]
                if len(named) == 1
                else next(
                    (
                        m
                        for m in materials
                        if str(m.get("unit", "")).endswith(("bale", "bag", "sack")) or "amount" in m
                    ),
                    None,
                )
            )
            if weights and target is not None:
                si = weights[0]["si"]
                entry = {
                    "name": target["name"],
                    "unit": target.get("unit", "bale"),
                    "unit_mass_as": weights[0].get("as", ""),
                }
                entry["unit_mass_kg" if not isinstance(si, list) else "unit_mass_kg_range"] = si
                said.facts["materials"] = [entry]
                said.facts["quantities"] = [q for q in said.facts["quantities"] if q is not weights[0]]
        loose = [i for i in said.loose if i.number is not None]
        packs = [m for m in materials if self.lexicon.tables.units.get(str(m.get("unit"))) is not None]
        target = packs if packs or not any(i.unit_mass for i in loose) else materials
        if loose and not self.slot and not said.facts.get("materials") and len(target) == 1:
            entry = {
                "name": target[0]["name"],
                "amount": loose[0].number.low if loose[0].number else None,
                "unit": target[0].get("unit", loose[0].unit),
            }
            mass = next((i.unit_mass for i in said.loose if i.unit_mass), None)
            if mass:
                entry.update(
                    {
                        "unit_mass_kg": round(mass[0], 3),
                        "mass_kg": round(mass[0] * float(entry["amount"] or 0), 2),
                    }
                )
            said.facts["materials"] = [entry]
        elif loose and not self.slot and not said.facts and any(i.unit_mass for i in loose):
            said.clarify.append(f"what the {loose[0].spoken} are of")
        self._rates_completed(said, animals, materials)

    def _rates_completed(
        self, said: Found, animals: list[dict[str, Any]], materials: list[dict[str, Any]]
    ) -> None:
        """A rate by the head times the heads, a rate in bales times the weight of one, as far as these are known."""
        herd = [a for a in said.facts.get("animals", []) if "count" in a] or animals
        stock = [*said.facts.get("materials", []), *materials]
        masses = {m["unit_mass_kg"] for m in stock if isinstance(m.get("unit_mass_kg"), int | float)}
        for quantity in list(said.facts.get("quantities", [])):
            if quantity.get("of") not in ("bedding rate", "bedding rate a head"):
                continue
            low, high = quantity["si"] if isinstance(quantity["si"], list) else [quantity["si"]] * 2
            unit = str(quantity.get("si_unit", "")).removesuffix("/day")
            if quantity["of"] == "bedding rate a head":
                heads = self._heads_of(str(quantity.get("per", "")), herd)
                if not heads:
                    continue
                low, high = (float(f"{end * heads:.6g}") for end in (low, high))
                quantity["of"] = "bedding rate"
                quantity["si"] = low if low == high else [low, high]
            if unit not in ("kg", "m**3") and len(masses) == 1:
                mass = next(iter(masses))
                low, high, unit = low * mass, high * mass, "kg"
            if unit == "kg":
                said.facts.update(span_value("rate_kg_per_day", low, high))
                said.facts["rate_as"] = quantity.get("as", "")
                said.facts["quantities"].remove(quantity)

    def _heads_of(self, name: str, herd: list[dict[str, Any]]) -> float:
        """How many animals a rate is for: those of the name, else all."""
        species = self.lexicon.species
        counted = [a for a in herd if isinstance(a.get("count"), int | float)]
        same = [a for a in counted if a.get("class") == name]
        kin = [a for a in counted if name and species.get(str(a.get("class"))) == species.get(name)]
        return float(sum(a["count"] for a in same or kin or counted))

    def _name(self) -> Meaning | None:
        if (
            (self.navigation() and len(self.tokens) <= 5)
            or "unsure" in self.hits
            or any(p.question for p in self.parts)
        ):
            return None
        if not self._sensible(least=0.0):
            return Meaning("chitchat", nothing=True)
        text = " ".join(self.scan.raw.split())
        for lead in self.lexicon.groups["name_leads"]:
            if text.lower().startswith(lead + " "):
                text = text[len(lead) :]
        text = text.strip(" .\"'!")
        return Meaning("answer", facts={"choice": [text[:60]], "name": text[:60]}) if text else None
