"""What a form's answers become in the family's record, and the words that sum them up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from armbot.engine.joining_form import Said, Scene
from armbot.engine.joining_league import NO_LEAGUE, league_names
from armbot.engine.joining_steps import ADD, JOIN, birth_of, is_young
from armbot.engine.joining_where import quiet_of, quiet_words, zone_words
from armbot.engine.say import Voice, fit, paragraphs, sentence
from armbot.model.family import (
    Athlete,
    Consent,
    Family,
    Member,
    Role,
    new_athlete_id,
    with_member,
)
from armbot.model.library import Library
from armbot.model.outbox import Button


def agreed(scene: Scene) -> Scene:
    """The scene with the member's consent and role taken from the form at once.

    They count from the moment they are given, whatever becomes of the rest.
    """
    member = scene.member
    if scene.answer("consent") and member.consent is None:
        member = replace(member, consent=Consent(scene.answer("consent"), scene.now))
    if scene.answer("role"):
        member = replace(member, role=Role(scene.answer("role")))
    return replace(scene, member=member)


def committed(scene: Scene) -> tuple[Family, Member]:
    """The family with all that the form was told, and the member out of the form.

    Of an athlete who may not join alone nothing is kept.
    """
    family, member = scene.family, replace(scene.member, form=None)
    if is_young(scene):
        return with_member(family, member), member
    if not scene.answer("invited"):
        family, member = _with_athlete(scene, family, member)
    quiet = quiet_of(scene.answer("quiet"))
    family = replace(family, zone=scene.answer("zone") or family.zone, quiet=quiet or family.quiet)
    if not any(m.consent for m in family.members if m.chat != member.chat):
        family = replace(family, lang=member.lang, lang_chosen=True)
    return with_member(family, member), member


def _with_athlete(scene: Scene, family: Family, member: Member) -> tuple[Family, Member]:
    """The athlete told of, under the id of the one it turns out to be, or a new one."""
    known = family.athlete(scene.answer("athlete"))
    if known is None and (scene.form.name not in (JOIN, ADD) or not _told(scene)):
        return family, member
    known = known or _unnamed(family)
    told = _filled(scene, known or Athlete(new_athlete_id(family)))
    if scene.own:
        member = replace(member, athlete=told.id)
    if known is not None:
        athletes = tuple(told if a.id == known.id else a for a in family.athletes)
        return replace(family, athletes=athletes), member
    # Ids are never used again, also once this athlete is removed.
    after = max(family.next_id, int(told.id[1:]) + 1)
    return replace(family, athletes=(*family.athletes, told), next_id=after), member


def _told(scene: Scene) -> bool:
    """Whether anything was told that makes an athlete."""
    return bool(scene.answer("name")) or birth_of(scene) is not None


def _unnamed(family: Family) -> Athlete | None:
    """An athlete whom the log or a report knows, but nobody has named yet.

    The first one named is taken to be that one, one on hold before all: a hold must not
    stay behind on somebody who is never spoken of again.
    """
    nameless = [a for a in family.athletes if not a.name]
    nameless.sort(key=lambda a: family.hold_of(a.id) is None)
    return nameless[0] if nameless else None


def _filled(scene: Scene, athlete: Athlete) -> Athlete:
    league = scene.answer("league")
    rules = () if league == NO_LEAGUE else tuple(league.split(","))
    return replace(
        athlete,
        name=scene.answer("name") or athlete.name,
        birth=birth_of(scene) or athlete.birth,
        arm=scene.answer("arm") or athlete.arm,
        sport=scene.answer("sport") or athlete.sport,
        rules=rules if league else athlete.rules,
        division=scene.answer("division") or athlete.division,
    )


def known_of(family: Family, member: Member) -> Mapping[str, str]:
    """What the record already answers for a member who comes back to an unfinished form."""
    answers: dict[str, str] = {}
    if member.consent is not None:
        answers["consent"] = member.consent.version
    if member.role is not Role.UNKNOWN:
        answers["role"] = member.role.value
        grown = member.role is Role.GUARDIAN and any(a.name for a in family.athletes)
        if member.consent is None and (member.athlete or grown):
            answers["invited"] = "yes"
    athlete = family.athlete(member.athlete) or next(
        (a for a in family.athletes if a.name and not (a.birth and a.arm)), None
    )
    if athlete is not None and not (member.role is Role.ATHLETE and not member.athlete):
        answers["athlete"] = athlete.id
        answers |= {"name": athlete.name, "arm": athlete.arm}
        if athlete.arm:
            answers["sport"] = athlete.sport
        if athlete.birth:
            answers |= {
                "birth_year": str(athlete.birth.year), "birth_month": str(athlete.birth.month),
            }  # fmt: skip
        if athlete.rules:
            answers["league"] = ",".join(athlete.rules)
    return {step: value for step, value in answers.items() if value}


def athlete_line(voice: Voice, athlete: Athlete, library: Library) -> str:
    """One athlete in a line: nickname, birth, arm, sport, leagues, division."""
    born = athlete.birth
    parts = [
        voice.say("sum_born", month=voice.month(born.month), year=born.year) if born else "",
        voice.say(f"sum_arm_{athlete.arm}") if athlete.arm else "",
        voice.say(f"label_{athlete.sport}").lower(),
        *league_names(library, athlete.rules, voice.lang),
        athlete.division,
    ]
    name = athlete.name or voice.say("sum_unnamed")
    return f"**{name}**: {', '.join(part for part in parts if part)}"


def finished(scene: Scene) -> Said:
    """The last words of a form: what is now on record, and how to go on."""
    family, member = committed(scene)
    voice = Voice(scene.library, member.lang)
    gone = scene.answer("athlete") and family.athlete(scene.answer("athlete")) is None
    if gone and scene.form.name != JOIN:
        return Said(family, voice.say("form_stopped"))
    if scene.form.name != JOIN:
        return Said(family, fit(paragraphs(voice.say("saved"), _lines(scene, family, member))))
    key = "_you" if member.role is Role.ATHLETE else ""
    more = voice.say("join_more") if not key else ""
    text = paragraphs(
        voice.say(f"join_done{key}"),
        _lines(scene, family, member),
        _example(voice, family, member),
        sentence(voice.say(f"join_pain{key}"), voice.say("nobody_watches")),
        more,
    )
    buttons = () if key else (Button(voice.say("label_add"), "form:start:add"),)
    return Said(family, fit(text), (*buttons, Button(voice.say("label_settings"), "set:show")))


def _lines(scene: Scene, family: Family, member: Member) -> str:
    """Athletes, time zone and quiet hours on record, one line each."""
    voice = Voice(scene.library, member.lang)
    athletes = [a for a in family.athletes if member.athlete in ("", a.id)]
    lines = [athlete_line(voice, athlete, scene.library) for athlete in athletes]
    zone = zone_words(scene.zones, family.zone, voice.lang)
    lines.append(voice.say("sum_zone", zone=zone))
    lines.append(voice.say("sum_quiet", quiet=quiet_words(voice, family.quiet)))
    return "\n".join(lines)


def _example(voice: Voice, family: Family, member: Member) -> str:
    """One thing to try; for an athlete on hold that it is so, and nothing of throwing."""
    shown = [a for a in family.athletes if member.athlete in ("", a.id)]
    held = [a for a in shown if family.hold_of(a.id) is not None]
    if held or (family.holds and not shown):
        name = held[0].name if held and held[0].name else voice.say("the_child")
        return voice.say("hold_on", name=name)
    if member.role is Role.ATHLETE or not shown:
        return voice.say("join_example_you", pitches=_EXAMPLE_PITCHES)
    return voice.say("join_example", name=shown[-1].name, pitches=_EXAMPLE_PITCHES)


_EXAMPLE_PITCHES = 31
