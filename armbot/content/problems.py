"""One set of reading functions for two uses: stop at the first mistake, or list them all."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from armbot.content.strict import ContentError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator


@dataclass(slots=True)
class Problems:
    """Where reading functions put their mistakes.

    While the bot loads its content the first mistake is raised. With ``gather`` (the
    content check) mistakes are kept in ``found`` and reading goes on with the rest.
    """

    gather: bool = False
    found: list[ContentError] = field(default_factory=list)

    def add(self, error: ContentError) -> None:
        """Keep the mistake, or raise it."""
        if not self.gather:
            raise error
        self.found.append(error)

    def extend(self, errors: Iterable[ContentError]) -> None:
        """Keep several mistakes, or raise the first."""
        for error in errors:
            self.add(error)

    @contextmanager
    def here(self) -> Iterator[None]:
        """A unit of reading that one mistake ends: the units after it are still read."""
        try:
            yield
        except ContentError as error:
            self.add(error)
