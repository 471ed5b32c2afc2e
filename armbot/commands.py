"""What the clinic's and the content's commands do, one line of output a finding."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from armbot.app import change, load_family, open_store
from armbot.channels.base import shown_safely
from armbot.content.check import report as check_report
from armbot.content.learned import save_numbers
from armbot.content.learning import learn_from
from armbot.content.library import load_library
from armbot.content.paths import content_folder
from armbot.content.signoff import load_items
from armbot.content.strict import ContentError
from armbot.engine.clearance import ClearanceRefused, NothingToClear, RoleRefused, clear
from armbot.engine.say import Voice
from armbot.evaluate import LabelError, evaluate, read_labelled
from armbot.language.grammar import Grammar
from armbot.model.family import Family
from armbot.model.signoff import SignState

if TYPE_CHECKING:
    from datetime import date, datetime
    from pathlib import Path

    from armbot.model.library import Library
    from armbot.store.base import Store


class Failure(Exception):  # noqa: N818  # shown to a person as it is
    """A command that cannot be done; the message says why and what to do."""


def record_clearance(  # noqa: PLR0913  # the words of the command line
    library: Library,
    folder: Path,
    family_id: str,
    *,
    role: str | None,
    athlete: str | None,
    now: datetime,
) -> None:
    """End a hold and keep by whom. Raises Failure where the clearance is refused."""
    roles = library.clinic.who_may_clear
    if role is None:
        raise Failure(f"say who clears: --role with one of {', '.join(roles)}")
    wanted = role.strip().lower().replace(" ", "_").replace("-", "_")

    def step(family: Family) -> tuple[Family, str]:
        """The family with the hold ended, and what to print; run again if the file moved on."""
        owner = _owner(family, athlete)
        voice = Voice(library, family.lang)
        found = family.athlete(owner)
        name = shown_safely(found.name) if found and found.name else voice.say("the_athlete")
        after = clear(family, owner, wanted, now, library.clinic)
        return after, voice.say("cleared", name=name, role=wanted.replace("_", " "))

    with _existing(folder) as store:
        family, _ = load_family(store, Family(id=family_id))
        voice = Voice(library, family.lang)
        try:
            said = change(store, family, step)
        except RoleRefused as error:
            may = ", ".join(error.may_clear)
            raise Failure(voice.say("cleared_role", role=shown_safely(role), roles=may)) from None
        except NothingToClear:
            raise Failure(voice.say("cleared_none")) from None
        except ClearanceRefused as error:
            raise Failure(str(error)) from None
    print(said)


def _existing(folder: Path) -> Store:
    """The store of a folder that is there: "nothing reported" must not mean a typing slip."""
    if not folder.is_dir():
        raise Failure(f"no records in {folder}: name the folder that the chat uses with --data")
    return open_store(folder)


def _owner(family: Family, athlete: str | None) -> str:
    """The id of the athlete meant; without a name, of the only one on hold."""
    if athlete is not None:
        wanted = athlete.strip().casefold()
        for known in family.athletes:
            if wanted in (known.id, known.name.casefold()):
                return known.id
        names = ", ".join(known.name or known.id for known in family.athletes) or "none"
        raise Failure(f"no athlete '{shown_safely(athlete)}' on record; on record: {names}")
    held = list(dict.fromkeys(hold.athlete for hold in family.holds))
    if len(held) > 1:
        names = ", ".join(_name(family, owner) for owner in held)
        raise Failure(f"several are on hold ({names}): say which with --athlete")
    return held[0] if held else ""


def _name(family: Family, owner: str) -> str:
    known = family.athlete(owner)
    return shown_safely(known.name or known.id) if known else "no athlete named"


def list_reports(folder: Path, family_id: str) -> None:
    """Print what was reported, the most urgent first, then the holds and clearances."""
    with _existing(folder) as store:
        family, _ = load_family(store, Family(id=family_id))
    if not family.reports:
        print("nothing was reported")
    for report in sorted(family.reports, key=lambda r: (-r.tier, -r.at.timestamp())):
        said = shown_safely(report.said).replace("\n", " ")
        print(
            f"{report.tier.word}  {_when(report.at)}  athlete: {_name(family, report.athlete)}  "
            f'signs: {", ".join(report.signs) or "none named"}  said: "{said}"'
        )
    for hold in family.holds:
        print(f"on hold  since {_when(hold.since)}  athlete: {_name(family, hold.athlete)}")
    for clearance in family.clearances:
        name = _name(family, clearance.athlete)
        print(f"cleared  {_when(clearance.at)}  athlete: {name}  by: {clearance.role}")


def _when(at: datetime) -> str:
    return at.isoformat(sep=" ", timespec="minutes")


def check_content(folder: Path | None, today: date) -> int:
    """Print every error and the state of the signatures; 1 when there is an error."""
    found = check_report(folder, today)
    for error in found.errors:
        print(error)
    print(_summary(folder or content_folder(), today))
    print(f"{len(found.errors)} errors" if found.errors else "no errors")
    return 1 if found.errors else 0


def learn_numbers(folder: Path | None) -> int:
    """Learn the second reader's numbers from the content and write them beside it."""
    base = folder or content_folder()
    library = load_library(base, for_learning=True)
    try:
        learned = learn_from(library, Grammar(library))
    except ImportError:
        raise Failure("learning needs scikit-learn: pip install 'armbot[learn]'") from None
    path = save_numbers(base, learned)
    print(f"{path}: {len(learned[0])} features from {len(library.report_examples)} reports")
    return 0


def _summary(folder: Path, today: date) -> str:
    """How many items are signed, unsigned, expired or broken."""
    try:
        items = load_items(folder)
    except ContentError:
        return "sign-offs: not readable"  # the reason stands among the errors
    counts = Counter(item.state(today) for item in items.values())
    return "sign-offs: " + ", ".join(f"{counts[state]} {state.value}" for state in SignState)


def list_signoffs(today: date) -> int:
    """Print every signable item with its state and the digest to sign."""
    for item in load_items(content_folder()).values():
        signed = item.signature
        by = f"  {signed.role}, {signed.signed_on} to {signed.valid_until}" if signed else ""
        print(f"{item.state(today).value:9}{item.id:34}{item.digest}{by}")
    return 0


def evaluate_file(grammar: Grammar, path: Path) -> None:
    """Print the scores of a labelled file, then every miss."""
    try:
        evaluation = evaluate(read_labelled(path), grammar)
    except LabelError as error:
        raise Failure(str(error)) from None
    for name, score in evaluation.scores.items():
        print(f"{name:24}{score.right:5} of {score.asked:<5}{100 * score.share:7.1f} %")
    for miss in evaluation.misses:
        print(
            f"{miss.id}  {miss.check}: wanted {miss.wanted}, found {miss.found}  "
            f"| {shown_safely(miss.said)}"
        )
