"""Dates in and out, and how long."""

from __future__ import annotations

from advisor.language.dates import DateRead, days_between
from advisor.language.found import span_value
from advisor.language.rest import Rest
from advisor.language.scan import Item

__all__ = ["Periods"]


class Periods(Rest):
    """Reads when the animals are housed."""

    def all_year(self) -> None:
        """'all year round', of the housing: never of grass that grows or eggs that sell all year."""
        line = f" {' '.join(t.text for t in self.scan.tokens)} "
        if self.asking or not any(phrase in line for phrase in self.lexicon.phrases("all_year")):
            return
        words, lists = self.scan.words(), self.lexicon.lists
        indoors = words & lists["indoor_words"] and not words & (lists["outside_words"] - {"grass"})
        about_it = self.slot in ("period", "days", "start", "end") and not words & lists["outside_words"]
        if not (indoors or about_it):
            return
        for _, item in self.free("date"):
            self.out.used.add(item.start)  # '24/7' is no day of July
        self.facts["days"] = 365
        self.facts["days_as"] = "all year"

    def dates(self) -> None:
        found = [(p, i) for p, i in self.free("date") if i.date is not None]
        texts = [t.text for t in self.scan.tokens]
        bad = [i for _, i in found if i.date and (i.date.ambiguous or i.date.impossible)]
        for item in bad:
            assert item.date is not None
            if item.date.impossible:
                self.out.queried.append(f"date '{item.text}'")
            elif self.slot in ("start", "end", "period") or len(found) > 1:
                self.out.clarify.append(f"which of day and month in '{item.text}'")
        good = [(p, i) for p, i in found if i not in bad]
        for place, item in good:
            assert item.date is not None
            if item.date.only_day:
                continue
            key = self._date_key(place, item, [i for _, i in good], texts)
            if key is None:
                continue
            shifted = self._shift(item, texts)
            date = shifted or item.date
            if key in self.facts and key == "start" and "end" not in self.facts:
                key = "end"
            if key in self.facts:
                continue
            self.facts[key] = date.day
            if date.first != date.last:
                self.facts[f"{key}_window"] = [date.first, date.last]
            self.out.used.add(item.start)
        if "start" in self.facts and "end" in self.facts:
            self.facts["days"] = days_between(self.facts["start"], self.facts["end"])
            self.facts["days_as"] = "from dates"

    def _shift(self, item: Item, texts: list[str]) -> DateRead | None:
        """'two weeks before Christmas'."""
        import datetime as dt

        at = item.start - 1
        while at >= 0 and texts[at] in ("the", "st"):
            at -= 1
        if at < 1 or texts[at] not in ("before", "after") or item.date is None:
            return None
        amount = next(
            (
                i
                for i in self.items
                if i.end in (at, at - 0) and i.kind == "amount" and self.measure(i) == "time"
            ),
            None,
        )
        if amount is None or amount.start in self.out.used:
            return None
        self.out.used.add(amount.start)
        days = int(amount.si[0]) * (1 if texts[at] == "after" else -1)

        def moved(text: str) -> str:
            month, day = map(int, text.split("-"))
            return (
                dt.date(2025, month, min(day, 28) if month == 2 else day) + dt.timedelta(days=days)
            ).strftime("%m-%d")

        return DateRead(moved(item.date.first), moved(item.date.last), item.end)

    def _date_key(self, place: int, item: Item, all_dates: list[Item], texts: list[str]) -> str | None:
        if self.slot not in ("", "start", "end", "period", "animals", "materials", "days"):
            return None
        if texts[max(0, item.start - 1) : item.start] == ["last"]:
            return None
        if self.slot in ("start", "end") and len(all_dates) == 1:
            near = set(texts[max(0, item.start - 3) : item.start])
            other = "date_out" if self.slot == "start" else "date_in"
            if not (
                near & {"out", "in"}
                and near & self.lexicon.lists[other]
                and not near & self.lexicon.lists["date_in" if self.slot == "start" else "date_out"]
            ):
                return self.slot
        lists = self.lexicon.lists
        if len(all_dates) >= 2:
            first = all_dates.index(item) == 0
            before = texts[max(0, item.start - 4) : item.start]
            for word in reversed(before):
                if word in ("out", "turnout", "leave", "turnedout", "until", "till", "til"):
                    return "end"
                if word in ("in", "housed", "from", "since", "come"):
                    return "start" if first or word != "from" else "end"
            return "start" if first else "end"
        before = texts[max(0, item.start - 5) : item.start]
        if self._other_event(item):
            return None
        for steps, word in enumerate(reversed(before)):
            if word in ("on", "the", "about", "around", "of", "by"):
                continue
            if word == "in" and steps == 0 and set(before[-3:]) & {"out", "turnout", "turnedout"}:
                continue  # 'they go out in june'
            if word in lists["date_out"]:
                return "end"
            if word in lists["date_in"]:
                return "start"
        after = texts[item.end : item.end + 3]
        if set(after) & {"on", "onwards", "onward", "in"}:
            return "start"
        if self.asking or self.slot not in ("", "period", "animals", "materials"):
            return (
                "start"
                if self.asking and "duration" in self.facts
                else ("start" if self.slot == "period" else None)
            )
        return "start"

    def _other_event(self, item: Item) -> bool:
        """'turned in april', '28 F in january': a month of something else than housing."""
        tokens, lists = self.scan.tokens, self.lexicon.lists
        start, end = item.start, item.end
        while start > 0 and tokens[start - 1].kind not in ("end", "sign"):
            start -= 1
        while end < len(tokens) and tokens[end].kind not in ("end", "sign"):
            end += 1
        words = {t.text for t in tokens[start:end]}
        if words & lists["birth_words"] and not words & lists["moving_words"]:
            # 'no births until april' says nothing of when they go out, whatever was asked
            return not self.slot or "born" in words or bool(words & lists["deny"])
        if self.slot:
            return False
        return bool(words & lists["other_events"]) and not words & lists["housing_words"]

    def periods(self) -> None:
        if self.facts.get("days_as") == "all year":
            return
        for place, item in self.free("amount"):
            if self.measure(item) != "time" and not (
                item.unit == "year" and self.slot in ("days", "period") and "old" not in item.text
            ):
                continue
            before = self.items[place - 1].text if place else ""
            after = [i.text for i in self.items[place + 1 : place + 4]]
            if self.slot == "hours" or after[:1] in (["old"], ["ago"], ["later"]) or "ago" in after[:2]:
                continue
            if self.slot in ("days", "period"):
                if "days" in self.facts and self.facts.get("days_as") == "from dates":
                    continue
                self._days(item)
            elif not self.slot or self.slot in ("animals", "materials", "start", "end"):
                one_of = item.text.split()[0] in ("a", "an", "one")
                if (
                    (self.asking and one_of and before != "for")
                    or {"every", "each", "per", "take"} & {before}
                    or after[:1] == ["time"]
                ):
                    continue
                wanted = (
                    (
                        (
                            self.facts.get("animals")
                            or self.facts.get("materials")
                            or self.facts.get("area_m2")
                        )
                        and not one_of
                    )
                    or before
                    in (
                        "for",
                        "about",
                        "housed",
                        "in",
                        "of",
                        "next",
                        "around",
                        "over",
                        "is",
                        "inside",
                        "indoors",
                    )
                    or after[:1] in (["housed"], ["inside"], ["indoors"], ["in"], ["of"], ["on"], ["housing"])
                )
                if (wanted or "start" in self.facts or "end" in self.facts) and "days" not in self.facts:
                    self._days(item)

    def _days(self, item: Item) -> None:
        low, high = item.si
        self.out.used.add(item.start)
        if high > 366 or low <= 0:
            self.out.queried.append("number of days housed")
            return
        for key in ("days", "days_range"):
            self.facts.pop(key, None)
        self.facts.update(span_value("days", round(low, 1), round(high, 1)))
        self.facts["days_as"] = item.spoken
