"""How often and for how many: 'a day', 'every second day', 'per cow', after an amount."""

from __future__ import annotations

import re

from advisor.language.look import Look

__all__ = ["Every"]


class Every(Look):
    """Reads the interval after an amount."""

    def _rate_after(self, place: int) -> tuple[float, bool, int] | None:
        """(applications a day, per head?, place after) when 'a day', 'every second day' ... follows an amount."""
        found = self._rate_at(self.items[place].end)
        if found is None:
            return None
        times, head, end = found
        if not head and (last := self._of_each(end)) is not None:
            head, end = True, last
        return times, head or self._led_by_each(place), end

    def _of_each(self, at: int) -> int | None:
        """'a day each', 'a week per horse', 'a day for every cow': the place after it."""
        texts = [t.text for t in self.scan.tokens[at : at + 3]]
        if texts[:1] in (["each"], ["apiece"]):
            return at + 1
        for led in (["per"], ["a"], ["for", "each"], ["for", "every"], ["to", "each"], ["to", "every"]):
            last = at + len(led)
            if texts[: len(led)] == led and last < len(self.scan.tokens):
                token = self.scan.tokens[last]
                if token.text in self.lists["heads"] or "animal" in token.tags:
                    return last + 1
        return None

    def _led_by_each(self, place: int) -> bool:
        """'each horse gets half a bale a day'."""
        start = self.items[place].start
        for at in range(max(0, start - 5), start - 1):
            if self.scan.tokens[at].text in ("each", "every"):
                token = self.scan.tokens[at + 1]
                if token.text in self.lists["heads"] or "animal" in token.tags:
                    return True
        return False

    def _in_a_rate(self, place: int) -> bool:
        """Whether an animal only says for whom: 'a bale per horse a week', 'each horse gets a bale a week'."""
        item = self.items[place]
        led = self._text_at(place - 1)
        if led not in ("per", "a", "an", "each", "every", "/"):
            return False
        held = self.items[place - 2] if place > 1 else None
        if (
            led in ("a", "per", "/")
            and held is not None
            and held.kind == "amount"
            and held.end == item.start - 1
            and self.lexicon.unit(held.unit).measures == "pack"
        ):
            return True  # '2 bales a cow'
        near = range(max(0, place - 8), min(len(self.items), place + 6))
        for other in near:
            amount = self.items[other]
            if amount.kind not in ("amount", "number", "pack") or amount.start == item.start:
                continue
            rate = self._rate_after(other)
            if rate and rate[1] and (amount.end <= item.start < rate[2] or led in ("each", "every")):
                return True
        return False

    def _rate_at(self, at: int) -> tuple[float, bool, int] | None:
        """The interval that starts at a token."""
        tokens = self.scan.tokens
        head = False
        times = 1.0
        numbers = self.lexicon.tables.numbers.small
        texts = [token.text for token in tokens]
        spans = self.lexicon.tables.numbers.every_days
        skipped = 0
        while at < len(texts) and skipped < 7:
            word = texts[at]
            after = texts[at + 1] if at + 1 < len(texts) else ""
            if after.isdecimal() and texts[at + 2 : at + 3] and texts[at + 2] in ("nd", "rd", "th"):
                del texts[at + 2]  # 'every 2nd day'
            if word in ("daily", "weekly", "nightly", "fortnightly", "monthly"):
                return times / spans[word], head, at + 1
            if word in ("a", "per", "each", "every", "/", "the", "in", "p", "pr", "by", "once"):
                if after in self.lists["heads"] or (
                    word in ("per", "a", "/", "each")
                    and at + 1 < len(tokens)
                    and "animal" in tokens[at + 1].tags
                ):
                    head, at = True, at + 2
                    continue
                if spans.get(after) and not (word == "each" and after in self.lists["adverbs_of_time"]):
                    if word == "the":
                        return None
                    return times / spans[after], head, at + 2
                if after in ("other", "second", "2nd") and texts[at + 2 : at + 3] and texts[at + 2] in spans:
                    return times / (2 * spans[texts[at + 2]]), head, at + 3
                if after in ("third", "3rd", "fourth") and texts[at + 2 : at + 3] and texts[at + 2] in spans:
                    return times / ((4 if after == "fourth" else 3) * spans[texts[at + 2]]), head, at + 3
                if (
                    (after.isdecimal() or after in numbers)
                    and len(after) < 8
                    and texts[at + 2 : at + 3]
                    and texts[at + 2] in spans
                ):
                    count = float(after) if after.isdecimal() else numbers[after]
                    span = spans[texts[at + 2]] * count
                    return (times / span, head, at + 3) if span > 0 else None
            if word in ("twice", "thrice"):
                times, at = times * (2 if word == "twice" else 3), at + 1
                continue
            if word == "times" or after == "times":
                count_text = texts[at]
                value = numbers.get(
                    count_text, float(count_text) if count_text.isdecimal() and len(count_text) < 4 else 1.0
                )
                times, at = times * max(value, 1.0), at + 2
                continue
            if word == "morning" and after == "and":
                second = tokens[at + 2] if at + 2 < len(tokens) else None
                twice = second is not None and second.kind != "num" and "number" not in second.tags
                return (2.0 if twice else 1.0) * times, head, at + (3 if twice else 2)
            if word in ("each", "apiece") and not head:
                head, at = True, at + 1
                continue
            if word == "(" and ")" in texts[at : at + 6]:  # '4 bags (20 kg) every three days'
                at, skipped = texts.index(")", at) + 1, skipped + 1
                continue
            if word in self.lists["between_rate"] or self._named_stuff(at):
                at, skipped = at + 1, skipped + 1
                continue
            break
        if head and self.slot == "rate":
            return times, True, min(at, len(texts))
        return None

    def _named_stuff(self, at: int) -> bool:
        """Whether a bedding is named at a token: '2 bags of pellets a day'."""
        return any(i.kind == "material" and i.start <= at < i.end for i in self.items)

    def _rate_before(self, place: int) -> tuple[float, bool, int] | None:
        """'daily 40 kg', 'every second day two bales', 'once a week 3 rounds'."""
        end = self.items[place].start
        texts = [t.text for t in self.scan.tokens[:end]]
        line = " ".join(texts[-8:])
        for stop in (" . ", " ; ", "\n"):
            line = line.split(stop)[-1]
        spans = {"day": 1, "morning": 1, "night": 1, "evening": 1, "week": 7, "fortnight": 14, "month": 30.4}
        numbers = self.lexicon.tables.numbers.small
        if re.search(
            r"\b(daily|each day|every day|per day|a day|every morning|every night|every evening)\b", line
        ):
            return (2.0 if "twice" in line else 1.0), False, end
        if match := re.search(r"every (other|second|2nd|third|3rd) (day|week|morning|night)", line):
            return 1 / ((2 if match[1] in ("other", "second", "2nd") else 3) * spans[match[2]]), False, end
        if match := re.search(r"every (\w+) (day|week)s", line):
            count = numbers.get(
                match[1], float(match[1]) if match[1].isdecimal() and len(match[1]) < 4 else 0
            )
            return (1 / (count * spans[match[2]]), False, end) if count else None
        if match := re.search(
            r"(once|twice|three times|two times) (?:a|per|every|each) (day|week|fortnight|month)", line
        ):
            times = {"once": 1, "twice": 2, "two times": 2, "three times": 3}[match[1]]
            return times / spans[match[2]], False, end
        if re.search(r"\b(weekly|every week|each week|a week|per week)\b", line):
            return 1 / 7, False, end
        return None
