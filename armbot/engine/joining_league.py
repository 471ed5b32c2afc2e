"""The leagues an athlete plays in, by the rule sets that are known, and the division."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from armbot.engine.joining_form import Heard, Question, Scene, Step, button
from armbot.engine.joining_names import nickname
from armbot.engine.joining_words import MOST_WORDS, close, hear, meanings, words_in
from armbot.model.library import Library
from armbot.model.outbox import Button
from armbot.model.rules import RuleKind, RuleSet

NO_LEAGUE = "none"
_MORE = "more"
_DIVISION = re.compile(r"\b(?:u ?\d{1,2}|\d{1,2} ?u)\b")
"""A division by age: "10U", "U12"."""
_SHORTEST = 2
"""Words of a league's name from which a slip in one of them is overlooked."""


def leagues_for(library: Library, sport: str) -> tuple[RuleSet, ...]:
    """The rule sets a family may play under in a sport: leagues first, then associations.

    Guidelines and societies are advice, not leagues: the health guideline always counts.
    """
    kinds = (RuleKind.LEAGUE, RuleKind.ASSOCIATION)
    return tuple(
        rules
        for kind in kinds
        for rules in library.rules.values()
        if rules.kind is kind and rules.sport == sport
    )


def league_names(library: Library, ids: Iterable[str], lang: str) -> tuple[str, ...]:
    """The short names of rule sets; unknown ids are left out."""
    return tuple(library.rules[i].short_names[lang] for i in ids if i in library.rules)


def read_leagues(text: str, rules: Sequence[RuleSet]) -> tuple[str, ...]:
    """The ids of the rule sets that a text names by id, name or alias.

    A name that several share names them all: the strictest then answers.
    """
    words = words_in(text)
    if len(words) > MOST_WORDS:
        return ()
    names = [(name, r.id) for r in rules for name in _names(r)]
    longest_first = sorted(dict.fromkeys(names), key=lambda pair: -len(pair[0]))
    free = [True] * len(words)
    found: list[str] = []
    taken: set[tuple[str, ...]] = set()
    for name, key in longest_first:
        place = _place(words, name, free)
        if place is not None:
            free[place : place + len(name)] = [False] * len(name)
            taken.add(name)
        if name in taken:
            found.append(key)
    return tuple(r.id for r in rules if r.id in found)


def _names(rules: RuleSet) -> set[tuple[str, ...]]:
    texts = [rules.id.replace("_", " "), *rules.names.values(), *rules.short_names.values()]
    texts += [alias for aliases in rules.aliases.values() for alias in aliases]
    return {tuple(words_in(text)) for text in texts}


def _place(words: Sequence[str], name: Sequence[str], free: Sequence[bool]) -> int | None:
    """Where a name stands among words still free; in a name of several words slips may be."""
    for start in range(len(words) - len(name) + 1):
        said = words[start : start + len(name)]
        same = said == list(name)
        near = len(name) >= _SHORTEST and all(map(close, said, name))
        single = len(name) == 1 and len(words) == 1 and close(words[0], name[0])
        if (same or near or single) and all(free[start : start + len(name)]):
            return start
    return None


def read_division(text: str, library: Library) -> str:
    """The division a text names, such as "10U" or "Majors"; "" where it names none."""
    plain = " ".join(words_in(text))
    found = _DIVISION.search(plain)
    if found:
        return "".join(re.findall(r"\d+", found.group())) + "U"
    for phrase in sorted(meanings(library, "divisions"), key=len, reverse=True):
        if re.search(rf"\b{re.escape(' '.join(phrase))}\b", plain):
            return nickname(" ".join(phrase).title())
    return ""


def _ask(scene: Scene) -> Question:
    known = leagues_for(scene.library, scene.answer("sport"))
    first = [r for r in known if r.kind is RuleKind.LEAGUE] or known
    buttons = _buttons(scene, first)
    if len(first) < len(known):
        buttons = (*buttons, button("league", _MORE, scene.say("label_more")))
    none = button("league", NO_LEAGUE, scene.say("label_no_league"))
    return Question(scene.say("join_league"), (*buttons, none))


def _buttons(scene: Scene, known: Iterable[RuleSet]) -> tuple[Button, ...]:
    return tuple(button("league", r.id, r.short_names[scene.voice.lang]) for r in known)


def _hear(scene: Scene, text: str) -> Heard:
    division = read_division(text, scene.library)
    told = (("division", division),) if division else ()
    found = read_leagues(text, leagues_for(scene.library, scene.answer("sport")))
    if found:
        return Heard((("league", ",".join(found)), *told))
    if any(hear(scene.library, text, (key,)) for key in ("no_league", "unsure")):
        return Heard((("league", NO_LEAGUE), *told))
    if told:
        return Heard(hint=scene.say("hint_league_too", division=division), notes=told)
    return Heard(hint=scene.say("hint_league"))


def _pick(scene: Scene, value: str) -> Heard:
    known = leagues_for(scene.library, scene.answer("sport"))
    if value == NO_LEAGUE or value in {r.id for r in known}:
        return Heard((("league", value),))
    if value == _MORE:
        others = [r for r in known if r.kind is not RuleKind.LEAGUE]
        none = button("league", NO_LEAGUE, scene.say("label_no_league"))
        return Heard(hint=scene.say("join_league_more"), buttons=(*_buttons(scene, others), none))
    return Heard(hint=scene.say("hint_league"))


LEAGUE = Step("league", _ask, _hear, _pick)
