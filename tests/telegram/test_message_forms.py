"""What arrives: formatting, buttons and files, and what is refused before it is asked.

On the real library, against the stand-in server, which counts and reads tags by itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sender_on import WORDS, YES_NO, on, signed

from armbot.channels.telegram.sending import Attachment, Outcome, Refused, Sender, Sent

if TYPE_CHECKING:
    from stand_in import StandIn


def test_a_message_arrives_as_it_was_meant() -> None:
    """Bold is bold, the rest is as written, buttons carry signed acts, links show no preview."""

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, StandIn]:
        return await sender.send(5, WORDS, YES_NO, signed), server

    outcome, server = on(send)
    (sent,) = server.sent
    assert outcome == Sent(sent.message_id)
    assert sent.text == "<b>Not Friday.</b> Ana &amp; Leo &lt;3 rest until Saturday."
    assert sent.shown == "Not Friday. Ana & Leo <3 rest until Saturday."
    assert sent.buttons == ["answer:yes.sig", "answer:no.sig"]
    assert sent.reply_markup is not None
    assert [len(row) for row in sent.reply_markup["inline_keyboard"]] == [2]
    assert server.calls[0].said["link_preview_options"] == {"is_disabled": True}


def _sent_despite(description: str, *, times: int = 1) -> tuple[Outcome, Any, int]:
    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, Any, int]:
        said = f"Bad Request: {description}"
        server.fault("sendMessage", code=400, description=said, count=times)
        outcome = await sender.send(5, WORDS, YES_NO, signed)
        return outcome, server.sent[0], len(server.calls)

    return on(send)


def test_refused_formatting_goes_again_as_plain_text() -> None:
    """At once, with all its words and buttons (G07)."""
    outcome, sent, calls = _sent_despite("can't parse entities: Unsupported start tag")
    assert outcome == Sent(1)
    assert calls == 2
    assert sent.parse_mode == ""
    assert sent.text == "Not Friday. Ana & Leo <3 rest until Saturday."
    assert len(sent.buttons) == 2


def test_refused_buttons_are_left_away() -> None:
    """A fault in a button must not keep a warning from a family."""
    outcome, sent, _ = _sent_despite("BUTTON_DATA_INVALID")
    assert outcome == Sent(1)
    assert sent.parse_mode == "HTML"
    assert not sent.buttons


def test_both_can_be_refused_and_the_words_arrive() -> None:
    """Formatting first, then buttons."""

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, StandIn]:
        for description in ("can't parse entities", "REPLY_MARKUP_INVALID"):
            server.fault(
                "sendMessage", code=400, description=f"Bad Request: {description}", count=1
            )
        return await sender.send(5, WORDS, YES_NO, signed), server

    outcome, server = on(send)
    assert outcome == Sent(1)
    assert len(server.calls) == 3
    assert server.sent[0].shown.startswith("Not Friday. Ana & Leo <3")


def test_a_refusal_in_unknown_words_is_tried_in_the_simplest_form() -> None:
    """The descriptions are not documented and may change."""
    outcome, sent, _ = _sent_despite("ENTITY_BOUNDS_ODD")
    assert outcome == Sent(1)
    assert (sent.parse_mode, sent.buttons) == ("", [])


@pytest.mark.parametrize(
    ("text", "file", "reason"),
    [
        ("a" * 4097, None, "too long"),
        ("😀" * 2049, None, "too long"),
        ("", None, "empty"),
        (" \u200b\n", None, "empty"),
        ("a" * 1025, Attachment("a.png", b"x", "photo"), "caption too long"),
        ("", Attachment("a.png", b"x", "photo", "a" * 1025), "caption too long"),
        ("a" * 600, Attachment("a.png", b"x", "photo", "a" * 600), "caption too long"),
        ("see", Attachment("a.png", b"", "photo"), "file"),
    ],
)
def test_what_cannot_be_sent_is_refused_before_it_is_asked(
    text: str, file: Attachment | None, reason: str
) -> None:
    """Too long, empty: no request leaves (R26)."""

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, int]:
        return await sender.send(5, text, (), signed, file), len(server.calls)

    assert on(send) == (Refused(reason), 0)


@pytest.mark.parametrize(
    ("text", "file"),
    [
        ("a" * 4096, None),
        (f"**{'a' * 4096}**", None),
        ("<" * 4096, None),
        ("a" * 1024, Attachment("a.png", b"x", "photo")),
    ],
)
def test_what_just_fits_is_sent(text: str, file: Attachment | None) -> None:
    """The limits count what is shown, not tags and escapes (R26)."""

    async def send(sender: Sender, _server: StandIn) -> Outcome:
        return await sender.send(5, text, (), signed, file)

    assert on(send) == Sent(1)


@pytest.mark.parametrize(
    ("payload", "kept"), [("", 0), ("x", 1), ("x" * 64, 1), ("x" * 65, 0), ("ñ" * 33, 0)]
)
def test_a_payload_that_telegram_cannot_carry_is_left_out(payload: str, kept: int) -> None:
    """65 bytes pass the library and fail at the server; the message goes without it (R26)."""

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, int, int]:
        outcome = await sender.send(5, "Sore?", YES_NO[:1], lambda _act: payload)
        return outcome, len(server.sent[0].buttons), len(server.calls)

    assert on(send) == (Sent(1), kept, 1)


@pytest.mark.parametrize("kind", ["photo", "document"])
def test_a_file_arrives_with_its_words(kind: Any) -> None:
    """Its text and caption below it, bold as ever, its bytes unchanged, its buttons there."""
    data = bytes(range(256)) * 300
    file = Attachment('ch"art\r\n ñ.png', data, kind, "the **last** weeks")

    async def send(sender: Sender, server: StandIn) -> tuple[Outcome, StandIn]:
        return await sender.send(5, "My chart", YES_NO, signed, file), server

    outcome, server = on(send)
    (sent,) = server.sent
    assert outcome == Sent(1)
    assert sent.method == f"send{kind.title()}"
    assert sent.files == {kind: ("ch_art_.png", data)}
    assert sent.shown == "My chart\n\nthe last weeks"
    assert sent.text.endswith("the <b>last</b> weeks")
    assert len(sent.buttons) == 2


def test_a_file_needs_no_words() -> None:
    """A calendar can stand alone."""

    async def send(sender: Sender, _server: StandIn) -> Outcome:
        file = Attachment("rest.ics", b"BEGIN:VCALENDAR", "document")
        return await sender.send(5, "", (), signed, file)

    assert on(send) == Sent(1)
