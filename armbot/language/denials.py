"""Whether a "no" reaches a danger sign.

Only a denial within reach takes a sign away: "no pain or tingling" denies both, "no more
throwing until it stops hurting" denies neither.
"""

from __future__ import annotations

from collections.abc import Sequence

from armbot.language.message import Scene
from armbot.language.patterns import Hit
from armbot.language.tokens import SOFT_STOPS, Token

_BREAKERS = frozenset(
    "but pero except just only solo nomas though although porque because cuz bc so when cuando "
    "while still sino aunque aun todavia yet then now ahora y and or o plus says dice if unless "
    "however till until that".split()
)

_LINKS = frozenset("and or nor ni y o either of his her my the any a an real really".split())

_GLUE = frozenset(
    "any a an the real really much at all feel feeling feels have has had having get got getting "
    "kind of his her my your more one bit sign signs type sort in le me te se les duele "
    "tiene tengo "
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
    "before ease heal fixing help helping miro mira veo ve ven".split()
)


_LISTING = (",", "and", "or", "y", "o")
_NOUNS = frozenset(
    "pain pains soreness swelling numbness tingling stiffness tightness weakness bruising bruise "
    "bruises pop pops popping click clicks clicking fever discomfort aching ache aches burning "
    "redness dolor dolores molestia molestias hinchazon hormigueo hormigueos moreton moretones "
    "rigidez adormecimiento entumecimiento debilidad tronido chasquido fiebre ardor".split()
)
"""Names of complaints: items of a list, not statements."""
_SAYS_ITSELF = frozenset(
    "hurts hurt aches ached stings stung burns burned throbs tingles swelled popped clicks locks "
    "duele dolio arde molesta hormiguea trono se".split()
)
"""Verbs that say a sign by themselves: "no bruise, hurts to throw" denies the bruise alone."""
_SOMEBODY = frozenset("his her my the he she it him me i su sus mi mis el la le se les lo".split())
_REASONS = (("por", "que"), ("si",), ("que",), ("como",), ("cuando",), ("donde",), ("porque",))
"""After "no se": what is not known, which denies nothing."""


def is_denied(hit: Hit, scene: Scene, denied_ends: dict[int, int]) -> bool:
    """Whether a "no" reaches the hit: before it within a few words, or right after it."""
    told_no = _denied_after(hit, scene) or inner_no(hit, scene) is not None
    if told_no or _only_if(hit, scene):
        return not _only_if(hit, scene)
    skipped = 0
    place = hit.start - 1
    while place >= 0 and not scene.tokens[place].hard:
        word = scene.tokens[place].word
        if place in denied_ends and _is_link(scene.tokens, place + 1, hit.start):
            return True
        if "@negator" in scene.table[place] and 1 in scene.table[place]["@negator"]:
            return not _false_negation(scene, place, hit.start)
        if word in SOFT_STOPS or word in _BREAKERS:
            return word in _LISTING and _list_goes_on(hit, scene, place, denied_ends)
        if word not in _GLUE and "@part" not in scene.table[place]:
            skipped += 1
        if skipped > 1 or hit.start - place > 7:
            return False
        place -= 1
    return False


def _only_if(hit: Hit, scene: Scene) -> bool:
    """Whether it is denied on a condition alone: "no le duele si no lo mueve"."""
    after = tuple(token.word for token in scene.tokens[hit.end : hit.end + 3])
    return (
        after[:2] == ("si", "no")
        or after[:1] in (("unless",), ("mientras",))
        or (after[:1] == ("if",) and after[2:] in (("doesnt",), ("dont",), ("isnt",)))
    )


def _is_link(tokens: Sequence[Token], start: int, end: int) -> bool:
    between = [token.word for token in tokens[start:end]]
    return len(between) <= 3 and all(w in _LINKS or w in (",", "/", "&") for w in between)


def _list_goes_on(hit: Hit, scene: Scene, place: int, denied_ends: dict[int, int]) -> bool:
    """Whether a list of denied things goes on here, as after "no pain, " or "no pain or ".

    "No fever, elbow hurts" and "no pain and his fingers tingle" begin a clause of their own.
    """
    if _begins_a_clause(hit, scene, place):
        return False
    back = place - 1
    while back >= 0 and scene.tokens[back].word in (*_LISTING, "nor", "ni"):
        back -= 1
    return back in denied_ends


def _begins_a_clause(hit: Hit, scene: Scene, place: int) -> bool:
    """Whether what follows a comma or "and" says something of a body part, or where."""
    own = scene.tokens[place + 1 : hit.end]
    link = scene.tokens[place].word
    if link in ("or", "o") or own[-1].word in _NOUNS:
        after = [t.word for t in scene.tokens[hit.end : hit.end + 1]]
        return link == "," and after in (["in"], ["en"], ["on"], ["down"])
    if own[0].word in _SAYS_ITSELF:
        return True
    parts = any("@part" in scene.table[i] for i in range(place + 1, hit.end))
    return parts or any(token.word in _SOMEBODY for token in own)


def _false_negation(scene: Scene, place: int, start: int) -> bool:
    between = [token.word for token in scene.tokens[place + 1 : start]]
    if any(word in _FALSE_NEGATION for word in between):
        return True
    word = scene.tokens[place].word
    if place and scene.tokens[place - 1].word in _ALMOST:
        return True
    if between[:1] in (["se"], ["sabe"], ["sabemos"], ["entiendo"]) and any(
        tuple(between[1 : 1 + len(reason)]) == reason for reason in _REASONS
    ):
        return True
    if word in _WITHOUT and _denied_before(scene, place):
        return True
    if word == "nada" and (between[:1] == ["mas"] or scene.tokens[place - 1].word == "pasa"):
        return True
    return (
        word == "no" and place > 0 and scene.tokens[place - 1].word in ("por", "si", "why", "yes")
    )


_NOTHING = frozenset("no none nope nah 0 zero nada negative ninguno cero".split())
_AND_SO = frozenset("but he she she's it they pero solo just only swelling and y hinchazon".split())
"""What may follow a bare "no" that answers "any pain?"."""
_ALMOST = ("casi", "almost", "hardly", "barely")
"""Before a "no" these say that there is some: "casi no le duele"."""
_WITHOUT = ("without", "sin", "wo")


def _denied_before(scene: Scene, place: int) -> bool:
    """Whether a "no" stands before a "without": "can't throw without pain" is pain."""
    for back in range(place - 1, max(-1, place - 7), -1):
        word = scene.tokens[back].word
        if scene.tokens[back].hard or word in SOFT_STOPS or word in _WITHOUT:
            return False
        if 1 in scene.table[back].get("@negator", ()) or "@cannot" in scene.table[back]:
            return True
    return False


def inner_no(hit: Hit, scene: Scene) -> int | None:
    """Where a "no" stands between the first and the last word: "the arm isn't tight"."""
    if "@cannot" in hit.pattern:
        return None
    own = set(hit.pattern.replace("?", "").replace(" ", "/").split("/"))
    for place in range(hit.start + 1, hit.end - 1):
        word = scene.tokens[place].word
        if word not in own and 1 in scene.table[place].get("@negator", ()):
            return None if _false_negation(scene, place, hit.end - 1) else place
    return None


def _denied_after(hit: Hit, scene: Scene) -> bool:
    following = [token.word for token in scene.tokens[hit.end : hit.end + 4]]
    if not following:
        return False
    if following[0] in ("?", ":", "=") and len(following) > 1:
        alone = len(following) == 2 or not following[2].isalnum() or following[2] in _AND_SO
        return following[1] in _NOTHING and alone
    if following[0] == "no" and (len(following) == 1 or following[1] in (",", ".", "hay", "tiene")):
        return True
    if following[0] == "free" or following[:2] == ["-", "free"]:
        return True
    if following[0] == "nada" and (following[1:2] in (["mas"], ["que"]) or _has_no(hit, scene)):
        return False
    return following[0] in ("0", "none", "negative", "nada", "tampoco")


def _has_no(hit: Hit, scene: Scene) -> bool:
    """Whether the sign itself is told with a "no": "no la mueve nada" denies nothing twice."""
    return any(scene.tokens[place].word in ("no", "ni") for place in range(hit.start, hit.end))
