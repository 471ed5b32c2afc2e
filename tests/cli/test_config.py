"""Settings of a live channel: what they may say, and how each mistake is told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from armbot.config import (
    Settings,
    TokenMissing,
    Webhook,
    load_settings,
    secret_of,
    token_of,
)
from armbot.content.strict import ContentError
from armbot.model.staff import Staff

TOKEN = "7000000001:AAaTokenThatOpensNothingAtAll00000"  # noqa: S105 - of no bot
README = Path(__file__).parents[2] / "README.md"


def written(folder: Path, text: str) -> Path:
    """A settings file."""
    path = folder / "settings.yaml"
    path.write_text(text, "utf-8")
    return path


def test_the_settings_of_the_readme_are_read(tmp_path: Path) -> None:
    """As they stand there."""
    (shown,) = re.findall(r"```yaml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    settings = load_settings(written(tmp_path, shown))
    assert settings.trial
    assert not settings.open_to_all
    assert settings.staff == (
        Staff(1001, "physician"),
        Staff(1002, "front_desk", "es"),
        Staff(1003, "athletic_trainer", late=True),
    )
    assert settings.data == Path("/var/lib/armbot")


def test_every_line_may_be_left_out(tmp_path: Path) -> None:
    """Families are invited, and nothing unsigned goes out."""
    settings = load_settings(written(tmp_path, "trial: false\n"))
    assert settings == Settings()


def test_a_webhook_has_an_address_and_a_secret(tmp_path: Path) -> None:
    """Paths are relative to the settings."""
    text = "webhook: {url: https://bot.example.org/in, port: 8080, secret_file: secret}\n"
    settings = load_settings(written(tmp_path, text))
    assert settings.webhook == Webhook(
        "https://bot.example.org/in", "127.0.0.1", 8080, tmp_path / "secret"
    )
    (tmp_path / "secret").write_text("x" * 20)
    (tmp_path / "secret").chmod(0o600)
    assert secret_of(settings.webhook) == "x" * 20


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("staf: []\n", "unknown key 'staf'"),
        ("staff:\n  - {chat: me, role: physician}\n", "settings.yaml:2: 'me' is no chat"),
        ("staff:\n  - {chat: 1}\n", "'role' is missing"),
        ("staff: [{chat: 1, role: a}, {chat: 1, role: b}]\n", "named twice"),
        ("staff: [{chat: 1, role: a, late: true}]\n", "every chat is late"),
        ("staff: [{chat: 1, role: a, lang: fr}]\n", "no language 'fr'"),
        ("api: bot.example.org\n", "is no address"),
        ("joining: maybe\n", "joining is not 'maybe'"),
        ("rates: {overall: 0}\n", "sends nothing"),
        ("webhook: {url: http://x.org, port: 1, secret_file: s}\n", "https only"),
        ("webhook: {url: https://x.org, port: 70000, secret_file: s}\n", "no port 70000"),
    ],
)
def test_a_mistake_is_told_with_its_place(tmp_path: Path, text: str, words: str) -> None:
    """File, line, problem and remedy."""
    with pytest.raises(ContentError, match=re.escape(words)) as caught:
        load_settings(written(tmp_path, text))
    assert "settings.yaml:" in str(caught.value)


def test_the_token_comes_from_the_environment_or_from_a_file(tmp_path: Path) -> None:
    """Never from the settings themselves."""
    assert token_of(Settings(), {"ARMBOT_TOKEN": f" {TOKEN}\n"}) == TOKEN
    file = tmp_path / "token"
    file.write_text(TOKEN + "\n")
    file.chmod(0o600)
    assert token_of(Settings(token_file=file), {}) == TOKEN


def test_a_file_that_others_may_read_is_refused(tmp_path: Path) -> None:
    """Whoever reads the token is the bot."""
    file = tmp_path / "token"
    file.write_text(TOKEN)
    file.chmod(0o644)
    with pytest.raises(ContentError, match="chmod 600"):
        token_of(Settings(token_file=file), {})


@pytest.mark.parametrize("token", ["", "abc", "123:short", f"{TOKEN} {TOKEN}"])
def test_what_is_no_token_is_told_without_being_shown(token: str) -> None:
    """It may be a secret of something else."""
    with pytest.raises(TokenMissing) as caught:
        token_of(Settings(), {"ARMBOT_TOKEN": token})
    assert not token or token not in str(caught.value)
