"""Whether what a reply is made of was signed by a clinician and is in force."""

from __future__ import annotations

from datetime import date

from armbot.model.library import Library
from armbot.model.signoff import SignState


def is_draft(library: Library, topic: str, lang: str, today: date) -> bool:
    """Whether anything a reply on ``topic`` may draw on is not signed and in force.

    A computed answer may use any rule set, the season, the signs and the phrases; so all
    of those count, and of the topics the one that answers.
    """
    return any(
        item.state(today) is not SignState.SIGNED
        for item in library.items.values()
        if _may_use(item.id, topic, lang)
    )


def _may_use(item_id: str, topic: str, lang: str) -> bool:
    kind, _, rest = item_id.partition("/")
    if kind == "topics":
        return rest == topic
    return rest.startswith(f"{lang}/") if kind == "words" else True
