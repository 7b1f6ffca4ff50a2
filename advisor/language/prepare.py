"""Tokens made ready: short forms written out, slips mended, each marked with the kind of thing it is."""

from __future__ import annotations

from dataclasses import replace

from advisor.language.lexicon import Lexicon
from advisor.language.numbers import read_range
from advisor.language.text import Token, root, stem

__all__ = ["prepare"]


def _rewrite(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    out: list[Token] = []
    at = 0
    while at < len(tokens):
        for old, new in lexicon.rewrites.get(tokens[at].text, ()):
            if tuple(t.text for t in tokens[at : at + len(old)]) == old:
                if old == ("c", "-", "n") and not tokens[at + 1].tight:
                    continue
                if old[:1] == ("c",) and at and tokens[at - 1].kind == "num":
                    continue  # '-35 c.'
                if old == ("nd",) and at and tokens[at - 1].kind == "num" and tokens[at].tight:
                    continue  # 'every 2nd day'
                for word in new:
                    out.append(
                        replace(
                            tokens[at],
                            text=word,
                            kind="num" if word.isdigit() else "word",
                            stem=stem(word),
                            root=root(word),
                        )
                    )
                at += len(old)
                break
        else:
            out.append(tokens[at])
            at += 1
    return out


def _said_short(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """A dropped g ('rollin') and a dropped d ('9 cows an 6 calves') put back where nothing else can be meant."""
    out = []
    for at, token in enumerate(tokens):
        word = token.text
        after = tokens[at + 1] if at + 1 < len(tokens) else None
        if word == "an" and after and (after.kind == "num" or after.text[:1] in "bcdfgjklmnpqrstvwxyz"):
            token = token.renamed("and")
        elif (
            len(word) > 4
            and word.endswith("in")
            and not {word, token.root} & lexicon.known
            and root(word + "g") in lexicon.known
        ):
            token = token.renamed(word + "g")
        out.append(token)
    return out


def _danger_meant(word: str, word_stem: str, lexicon: Lexicon) -> str:
    """The word of an emergency that a slip hides: the same first letter, and one slip, or two in a long word."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    if word_stem in lexicon.known or word in lexicon.lists["not_typos"]:
        return ""
    near = [target for target in lexicon.lists["danger_words"] if target[0] == word[0]]
    found = process.extractOne(
        word, sorted(near), scorer=OSA.distance, score_cutoff=1 if len(word) < 9 else 2
    )
    return found[0] if found else ""


def _mend(tokens: list[Token], lexicon: Lexicon) -> tuple[list[Token], dict[str, str]]:
    """Unknown words that are one slip from a known one are read as it."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    slips: dict[str, str] = {}
    out = []
    for token in tokens:
        word = token.text
        if (
            len(word) > 4
            and word.isalpha()
            and word not in lexicon.known
            and (meant := _danger_meant(word, token.stem, lexicon))
        ):
            slips[word] = meant
            out.append(token.renamed(meant))
            continue
        unknown = (
            token.kind == "word" and len(word) >= 4 and word.isalpha() and word not in lexicon.known
            and token.stem not in lexicon.known and token.root not in lexicon.known
            and word not in lexicon.lists["not_typos"]
        )  # fmt: skip
        if unknown and len(slips) < 12:
            most = 1 if len(word) <= 6 else 2
            target = token.stem if len(token.stem) >= 4 else word
            found = process.extract(
                target, lexicon.typo_targets, scorer=OSA.distance, score_cutoff=most, limit=3
            )
            found = [hit for hit in found if hit[0][0] == target[0] or len(target) > 5]
            clear = found and (
                len(found) == 1 or found[0][1] < found[1][1] or stem(found[0][0]) == stem(found[1][0])
            )
            if clear and found[0][1] <= (1 if len(found[0][0]) <= 6 else 2):
                slips[word] = found[0][0]
                token = token.renamed(found[0][0])
        out.append(token)
    return out, slips


def _tag(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """Mark what kind of thing each token is, for patterns."""
    stems = [token.stem for token in tokens]
    texts = [token.text for token in tokens]
    tags: list[set[str]] = [set() for _ in tokens]
    at = 0
    while at < len(tokens):
        found = lexicon.names.match(stems, at)
        if found and not found[0].weak and not found[0].refused:
            for place in range(at, found[1]):
                tags[place].add("animal" if found[0].kind == "breed" else found[0].kind)
            at = found[1]
            continue
        at += 1
    months, numbers = lexicon.tables.dates.months, lexicon.tables.numbers
    for place, token in enumerate(tokens):
        if (
            token.kind == "word"
            and len(token.text) > 2
            and not {token.text, token.stem, token.root} & lexicon.known
        ):
            tags[place].add("unknown")  # most likely somebody's name
        if token.kind == "num" or (token.text in numbers.small and token.text != "one"):
            tags[place].add("number")
        if token.text.isdecimal() and len(token.text) == 4 and 1900 <= int(token.text) <= 2099:
            tags[place].add("year")
        if token.text in months and token.text not in lexicon.tables.dates.unsure_months:
            tags[place].add("date")
        if lexicon.units.match(texts, place):
            tags[place].add("unit")
    return [
        replace(token, tags=frozenset(tag)) if tag else token for token, tag in zip(tokens, tags, strict=True)
    ]


def _number_before(tokens: list[Token], at: int, lexicon: Lexicon) -> tuple[int, int] | None:
    """Start and end of the last number before a place."""
    words = lexicon.tables.numbers
    found: tuple[int, int] | None = None
    for start in range(at - 1, max(-1, at - 8), -1):
        token = tokens[start]
        if token.kind != "num" and "number" not in token.tags and token.text not in words.multiplier:
            if found and token.text not in ("and", "-"):
                break
            continue
        number = read_range(tokens, start, words)
        if number is not None and number.end <= at and (found is None or number.end == found[1]):
            found = start, number.end
    return found


def _unit_end(tokens: list[Token], at: int, lexicon: Lexicon) -> int:
    found = lexicon.units.match([t.text for t in tokens], at) if at < len(tokens) else None
    return found[1] if found else at


def _taken_back(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """'6 cwt, no sorry, 12 cwt': the number said by mistake goes, with the words that take it back."""
    words = lexicon.tables.numbers
    cue, strong = lexicon.lists["take_back"], lexicon.lists["take_back_strong"]
    for at in range(1, len(tokens) - 1):
        end = at
        while end < len(tokens) and (
            tokens[end].text in cue or tokens[end].text in (",", "-", "?", ".", "...")
        ):
            end += 1
        said = {t.text for t in tokens[at:end]}
        if end == at or end >= len(tokens) or not said & strong:
            continue
        if said & strong == {"no"} and tokens[at].text not in (",", "-", "?", "."):
            continue
        if not ("number" in tokens[end].tags or tokens[end].kind == "num"):
            continue
        right = read_range(tokens, end, words)
        found = _number_before(tokens, at, lexicon)
        if right is None or found is None or any(t.kind == "end" for t in tokens[found[1] : at]):
            continue
        start, left_end = found
        between = tokens[left_end:at]
        named = any(t.tags & {"animal", "material", "date"} for t in between)
        again = right.end < len(tokens) and (tokens[right.end].tags & {"animal", "material"})
        if named and again and tokens[right.end].stem not in {t.stem for t in between}:
            continue
        unit = _unit_end(tokens, right.end, lexicon)
        kept = tokens[_unit_end(tokens, left_end, lexicon) if unit > right.end else left_end : at]
        if again or (unit == right.end and right.end < len(tokens) and "date" in tokens[right.end].tags):
            kept = []
        return _taken_back(tokens[:start] + tokens[end:unit] + kept + tokens[unit:], lexicon)
    return tokens


def prepare(tokens: list[Token], lexicon: Lexicon) -> tuple[list[Token], dict[str, str]]:
    """The tokens as they are read, and which words were taken for slips of which."""
    mended, slips = _mend(_said_short(_rewrite(_rewrite(tokens, lexicon), lexicon), lexicon), lexicon)
    return _taken_back(_tag(mended, lexicon), lexicon), slips
