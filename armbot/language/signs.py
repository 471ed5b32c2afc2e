"""Danger signs in a message: what is named, denied, whose it is, and what stands around it.

Words come from content/words; this module only knows how sentences carry them. The rule
of the house: nothing here may silence a danger word by guessing. A sign is dropped only
when it is part of a listed figure of speech, denied within reach of a "no", about another
body part, or plainly about somebody whose arm we do not look after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from armbot.language.patterns import Hit
from armbot.language.tokens import SOFT_STOPS, Token
from armbot.model.reports import Mention, SignReading

ARM_PARTS = ("elbow", "shoulder", "forearm", "upper_arm", "arm", "wrist", "hand", "fingers", "neck")

_BREAKERS = frozenset(
    "but pero except just only solo nomas though although porque because cuz bc so when cuando "
    "while still sino aunque aun todavia yet then now ahora y and or o plus says dice if unless "
    "however till until that".split()
)
_LINKS = frozenset("and or nor ni y o either of his her my the any a an real really".split())
_GLUE = frozenset(
    "any a an the real really much at all feel feeling feels have has had having get got getting "
    "kind of his her my your more one bit sign signs type sort in le me te se les duele tiene tengo "
    "hay siente siento nada de del el la los las ninguna ningun mucho muy tan been be is it its "
    "even ever arm elbow shoulder codo hombro brazo hand mano actual actually mas lo showing "
    "complain complains complaining complained complaints about seem seems looking look to "
    "report reported reporting experiencing reports super that too particularly presenta "
    "he she him her they i us que algun alguna tipo su sus mi un una ha he ya esta estan".split()
)
_FALSE_NEGATION = frozenset(
    "only just solo solamente nomas stop stops stopped stopping quit quits going go gone goes went "
    "better getting improving away deja dejan quita quitan para parar mejora idea way sure doubt "
    "wonder know tell say want like think pasa quiero pun joke lie matter worries problem prob "
    "lying kidding play throw pitch tirar lanzar jugar let big biggie anymore because from until "
    "before ease heal fixing help helping".split()
)
_TIGHT_NEGATION = 4

CONTEXT_ONLY = frozenset({"fingers_move", "head_injury", "habit"})
_ALONE_WEAK = frozenset({"veins", "whole_limb", "both_arms", "hot_red", "severe", "only_on_throw"})
"""Signs that say nothing alone: kept only beside another sign."""
_LOWERING = frozenset(
    {"everyday_cause", "other_cause", "weather", "muscle_area", "intermittent", "gone", "cleared",
     "long_ago", "denial_all", "unclear_person"}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Scene:
    """A tokenised message with the places of everything that was recognised."""

    tokens: Sequence[Token]
    sentence: Sequence[int]
    hits: Sequence[Hit]
    table: Sequence[dict[str, tuple[int, ...]]]
    text: str


def sentences(tokens: Sequence[Token]) -> list[int]:
    """Sentence number of every token."""
    numbers: list[int] = []
    current = 0
    for token in tokens:
        numbers.append(current)
        if token.hard:
            current += 1
    return numbers


def _masked(hits: Sequence[Hit]) -> set[int]:
    return {
        place for hit in hits if hit.name == "idiom:masked" for place in range(hit.start, hit.end)
    }


def _body_places(scene: _Scene) -> list[tuple[int, int, str]]:
    """(start, end, body part) for every body word; longer names win over shorter."""
    found: list[tuple[int, int, str]] = []
    for place, here in enumerate(scene.table):
        best: tuple[int, str] | None = None
        for part in (*ARM_PARTS, "other_body"):
            for size in here.get(f"@{part}", ()):
                if best is None or size > best[0]:
                    best = (size, part)
        if best:
            found.append((place, place + best[0], best[1]))
    covered: set[int] = set()
    kept = []
    for start, end, part in sorted(found, key=lambda item: item[0] - item[1]):
        if not covered & set(range(start, end)):
            kept.append((start, end, part))
            covered |= set(range(start, end))
    return kept


_UNMISTAKABLE = frozenset(
    {"deformity", "open_wound", "cold_blue", "no_pulse", "instability", "numb_tingle",
     "cannot_move", "swelling", "chest_breath", "collapse", "fever"}
)  # fmt: skip
"""Signs that another body word in the sentence does not take away from the arm."""


def _nearest_part(hit: Hit, bodies: Sequence[tuple[int, int, str]], scene: _Scene) -> str | None:
    """The body part a hit is about: inside it, else nearest in its sentence within 8 words."""
    inside = [part for start, end, part in bodies if start >= hit.start and end <= hit.end]
    if inside:
        return inside[0] if inside[0] != "other_body" or len(inside) == 1 else inside[-1]
    best: tuple[int, str] | None = None
    arm_named = any(
        part != "other_body" and scene.sentence[start] == scene.sentence[hit.start]
        for start, _, part in bodies
    )
    for start, end, part in bodies:
        if scene.sentence[start] != scene.sentence[hit.start]:
            continue
        if part == "other_body" and hit.name[5:] in _UNMISTAKABLE and arm_named:
            continue
        gap = start - hit.end if start >= hit.end else hit.start - end
        if 0 <= gap <= 8 and (best is None or gap < best[0]):
            best = (gap, part)
    return best[1] if best else None


def _negated(hit: Hit, scene: _Scene, denied_ends: dict[int, int]) -> bool:
    """Whether a "no" reaches the hit: before it within a few words, or right after it."""
    if _denied_after(hit, scene) or _denied_inside(hit, scene):
        return True
    skipped = 0
    place = hit.start - 1
    while place >= 0 and not scene.tokens[place].hard:
        word = scene.tokens[place].word
        if place in denied_ends and _is_link(scene.tokens, place + 1, hit.start):
            return True
        if "@negator" in scene.table[place] and 1 in scene.table[place]["@negator"]:
            return not _false_negation(scene, place, hit.start)
        if word in SOFT_STOPS or word in _BREAKERS:
            return False if word not in ("and", "or", "y", "o", ",") else _list_goes_on(
                scene, place, denied_ends
            )
        if word not in _GLUE and "@part" not in scene.table[place]:
            skipped += 1
        if skipped > 1 or hit.start - place > 7:
            return False
        place -= 1
    return False


def _is_link(tokens: Sequence[Token], start: int, end: int) -> bool:
    between = [token.word for token in tokens[start:end]]
    return len(between) <= 3 and all(w in _LINKS or w in (",", "/", "&") for w in between)


def _list_goes_on(scene: _Scene, place: int, denied_ends: dict[int, int]) -> bool:
    """After "no pain, " or "no pain or ": does the list of denied things go on here?"""
    back = place - 1
    while back >= 0 and scene.tokens[back].word in (",", "and", "or", "y", "o", "nor", "ni"):
        back -= 1
    return back in denied_ends


def _false_negation(scene: _Scene, place: int, start: int) -> bool:
    between = [token.word for token in scene.tokens[place + 1 : start]]
    if any(word in _FALSE_NEGATION for word in between):
        return True
    word = scene.tokens[place].word
    if word == "nada" and (between[:1] == ["mas"] or scene.tokens[place - 1].word == "pasa"):
        return True
    return word == "no" and place > 0 and scene.tokens[place - 1].word in ("por", "si", "why", "yes")


def _denied_inside(hit: Hit, scene: _Scene) -> bool:
    """A "no" between the first and the last word: "the arm isn't tight"."""
    if "@cannot" in hit.pattern:
        return False
    own = set(hit.pattern.replace("?", "").replace(" ", "/").split("/"))
    for place in range(hit.start + 1, hit.end - 1):
        word = scene.tokens[place].word
        if word not in own and 1 in scene.table[place].get("@negator", ()):
            return not _false_negation(scene, place, hit.end - 1)
    return False


def _denied_after(hit: Hit, scene: _Scene) -> bool:
    following = [token.word for token in scene.tokens[hit.end : hit.end + 4]]
    if not following:
        return False
    if following[0] in ("?", ":", "=") and len(following) > 1:
        return following[1] in ("no", "none", "nope", "nah", "0", "zero", "nada", "negative", "ninguno", "cero")
    if following[0] == "no" and (len(following) == 1 or following[1] in (",", ".", "hay", "tiene")):
        return True
    if following[0] == "free" or following[:2] == ["-", "free"]:
        return True
    if following[0] == "nada" and following[1:2] in (["mas"], ["que"]):
        return False
    return following[0] in ("0", "none", "negative", "nada") and len(following) <= 4


def _sentence_facts(scene: _Scene, masked: set[int]) -> dict[int, set[str]]:
    facts: dict[int, set[str]] = {}
    for hit in scene.hits:
        if hit.name.startswith("context:") and hit.start not in masked:
            facts.setdefault(scene.sentence[hit.start], set()).add(hit.name[8:])
    return facts


def _keep_longest(hits: Sequence[Hit]) -> list[Hit]:
    """Per sign and overlapping place, the longest hit."""
    kept: list[Hit] = []
    for hit in sorted(hits, key=lambda h: (h.name, h.start - h.end, h.start)):
        if not any(
            k.name == hit.name and hit.start < k.end and k.start < hit.end for k in kept
        ):
            kept.append(hit)
    return sorted(kept, key=lambda h: (h.start, -h.end))


def read_signs(
    text: str, tokens: Sequence[Token], table: Sequence[dict[str, tuple[int, ...]]],
    hits: Sequence[Hit],
) -> SignReading:
    """Signs of one message from its tokens and pattern hits."""
    scene = _Scene(tokens, sentences(tokens), hits, table, text)
    masked = _masked(hits)
    bodies = [b for b in _body_places(scene) if b[0] not in masked]
    by_sentence = _sentence_facts(scene, masked)
    everything = set().union(*by_sentence.values()) if by_sentence else set()
    found = _keep_longest(
        [h for h in hits if h.name.startswith("sign:") and not _is_masked(h, masked)]
    )
    mentions: list[tuple[Hit, str | None]] = []
    denied: list[str] = []
    denied_ends: dict[int, int] = {}
    other_body = False
    for hit in found:
        sign = hit.name[5:]
        if _negated(hit, scene, denied_ends):
            denied_ends[hit.end - 1] = hit.start
            denied.append(sign)
            continue
        part = _nearest_part(hit, bodies, scene)
        if part == "other_body" and sign not in ("chest_breath", "collapse", "fever", "cold_blue"):
            other_body = True
            continue
        if sign == "head_injury":
            other_body = True
        mentions.append((hit, part))
    return _assemble(scene, mentions, denied, by_sentence, everything, bodies, other_body)


def _is_masked(hit: Hit, masked: set[int]) -> bool:
    return hit.start in masked or (hit.end - 1) in masked


def _assemble(  # noqa: PLR0913 - the pieces of one message, put together once
    scene: _Scene,
    mentions: Sequence[tuple[Hit, str | None]],
    denied: Sequence[str],
    by_sentence: dict[int, set[str]],
    everything: set[str],
    bodies: Sequence[tuple[int, int, str]],
    other_body: bool,
) -> SignReading:
    arm_parts = {part for _, _, part in bodies if part != "other_body"}
    names = {hit.name[5:] for hit, _ in mentions}
    message = everything - _LOWERING | names
    if len(denied) and everything & {"denial_all"}:
        message.add("denial_all")
    kept: list[Mention] = []
    whose = "athlete"
    for hit, part in mentions:
        sign = hit.name[5:]
        here = by_sentence.get(scene.sentence[hit.start], set())
        owner = _owner(hit, scene, here)
        if owner:
            whose = owner
            continue
        facts = message | here | _derived(sign, part, hit, scene, here, everything, arm_parts, names, denied)
        kept.append(
            Mention(
                sign=sign,
                parts=frozenset({part} if part and part != "other_body" else ()),
                facts=frozenset(facts),
                negated=False,
                words=scene.text[scene.tokens[hit.start].start : scene.tokens[hit.end - 1].end],
            )
        )
    real = _keep_supported(kept, denied)
    if not kept and mentions:
        whose = whose if whose != "athlete" else "other"
    return SignReading(
        mentions=tuple(real),
        denied=tuple(dict.fromkeys(denied)),
        facts=frozenset(everything | names),
        parts=frozenset(arm_parts),
        other_body=other_body,
        whose=whose,
    )


def _keep_supported(kept: Sequence[Mention], denied: Sequence[str]) -> list[Mention]:
    """Mentions that say something: those weak alone only beside another, or a denied, sign."""
    real = [m for m in kept if m.sign not in CONTEXT_ONLY]
    if any(m.sign not in _ALONE_WEAK for m in real):
        return real
    names = {m.sign for m in real}
    if {"whole_limb", "veins"} <= names:
        return real
    if "only_on_throw" in names and {"pain", "soreness"} & set(denied):
        return real
    return [m for m in real if m.sign in ("severe", "both_arms") and m.parts]


_OURS = frozenset(
    "my mi mis our nuestro nuestra i im me mine but pero says said say told tells tell thinks think "
    "knows wants dice dijo dicen cree quiere makes made want".split()
)
"""Words that, between somebody else and a sign, give the sign back to the family."""
_ELSEWHERE = ("pro", "own_adult", "opponent")
_IF = frozenset("if si when cuando incase in en".split())


def _owner(hit: Hit, scene: _Scene, here: set[str]) -> str | None:
    """Whose arm it is when it is nobody's we look after; None when it is ours to answer for.

    Another owner must be named before the sign, in its sentence, with nothing between
    that turns back to the family: "my dad tore his cuff" is his, "my mom says my elbow
    hurts" is not hers.
    """
    for name in _ELSEWHERE:
        if name in here and _named_before(hit, scene, name):
            return "other"
    if _is_general(hit, scene):
        return "general_question"
    if "general" in here and _asked_at_large(hit, scene):
        return "general_question"
    return None


def _named_before(hit: Hit, scene: _Scene, name: str) -> bool:
    for other in scene.hits:
        if other.name != f"context:{name}" or scene.sentence[other.start] != scene.sentence[hit.start]:
            continue
        if other.start <= hit.start:
            between = [t.word for t in scene.tokens[other.end : hit.start]]
            if not _OURS & set(between):
                return True
        elif other.start < hit.end or (other.start - hit.end <= 6 and name == "own_adult"):
            return True
    return False


def _asked_at_large(hit: Hit, scene: _Scene) -> bool:
    """A general question: about nobody in particular, or an "if it ever" about somebody."""
    number = scene.sentence[hit.start]
    places = [i for i, n in enumerate(scene.sentence) if n == number]
    if not any("@personal" in scene.table[i] for i in places):
        return True
    return any(
        other.name == "context:general"
        and scene.sentence[other.start] == number
        and scene.tokens[other.start].word in _IF
        for other in scene.hits
    )


def _is_general(hit: Hit, scene: _Scene) -> bool:
    """A question about throwers at large: no one person's arm in the sentence."""
    number = scene.sentence[hit.start]
    places = [i for i, n in enumerate(scene.sentence) if n == number]
    asks = scene.tokens[places[-1]].word == "?" or any(
        "@question" in scene.table[i] for i in places[:2]
    )
    return (
        asks
        and any("@generic" in scene.table[i] for i in places)
        and not any("@personal" in scene.table[i] for i in places)
    )


def _derived(  # noqa: PLR0913 - facts that need the whole picture
    sign: str, part: str | None, hit: Hit, scene: _Scene, here: set[str], everything: set[str],
    arm_parts: set[str], names: set[str], denied: Sequence[str],
) -> set[str]:
    facts: set[str] = set()
    region = {part} if part else arm_parts
    facts |= {f"part:{name}" for name in region}
    if region or arm_parts:
        facts.add("part:any")
    if region - {"arm"} or (region and "throwing" in here):
        facts.add("part:named")
    if "throwing" in here and sign in ("pain", "soreness"):
        facts.add("throwing_pain")
    if "persistent" in here and "throwing" in everything:
        facts.add("persistent_throwing")
    if part == "other_body":
        facts.add("other_body")
    elif part:
        facts.add("part:near")
    if "habit" in names:
        facts.add("habit")
    if {"gone", "cleared"} & everything or "other_cause" in everything:
        facts |= everything & {"other_cause"}
    facts |= _time_facts(sign, here, everything, denied)
    return facts


def _time_facts(
    sign: str, here: set[str], everything: set[str], denied: Sequence[str]
) -> set[str]:
    """Is it over? "past" lowers to a question, "cleared_past" to nothing."""
    gone = "gone" in everything or sign in denied
    if "ongoing" in here or "back_again" in everything or ("current_only" in here and not gone):
        return set()
    facts = set()
    if "long_ago" in here or (gone and "past_tense" in here):
        facts.add("past")
    if "cleared" in everything and (facts or gone):
        facts.add("cleared_past")
    return facts
