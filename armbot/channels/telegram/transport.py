"""Requests to the Bot API over aiohttp, for python-telegram-bot, and logs without the token.

Why not the library's own transport: its client looks through all connections at the start and
the end of every request, so it becomes slower the more is under way. The choice was made by
``python tests/bench/bench_transport.py`` (messages a second, and processor time for each; two
otherwise idle cores, loopback without TLS, python-telegram-bot 22.8, httpx 0.28.1, aiohttp
3.14.5; repeats differ by up to a third, and on a busy machine only the processor times hold):

| in flight, answer after | stock         | aiohttp      |
| ----------------------- | ------------- | ------------ |
| 1, at once              | 863, 1.0 ms   | 2020, 0.3 ms |
| 32, at once             | 471, 2.1 ms   | 3515, 0.2 ms |
| 256, at once            | 334, 3.0 ms   | 2747, 0.3 ms |
| 1, 80 ms                | 12, 2.3 ms    | 12, 1.0 ms   |
| 32, 80 ms               | 362, 1.5 ms   | 368, 0.3 ms  |
| 256, 80 ms              | 72, 13.8 ms   | 2890, 0.3 ms |

The stock one held to 32 at once would do for Telegram's 30 messages a second at five times the
processor time; it would not do for a server of one's own, nor leave room for the rest.
"""

from __future__ import annotations

import io
import json
import os
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from ipaddress import ip_address
from typing import Any, TypeAlias
from urllib.parse import urlencode, urlsplit
from urllib.request import getproxies, proxy_bypass

import aiohttp
from telegram.error import NetworkError, TelegramError, TimedOut
from telegram.request import BaseRequest, RequestData
from yarl import URL

from armbot.channels.telegram.quiet import quiet_logs, without_token

__all__ = ["AiohttpRequest", "NotReadyError", "Timeouts", "never_left", "quiet_logs"]

# The library is about to change the type of RetryAfter.retry_after, and warns at every "wait"
# of the server until one opts in; this is its documented way to do so.
os.environ.setdefault("PTB_TIMEDELTA", "true")

_FORM = {"Content-Type": "application/x-www-form-urlencoded"}


class NotReadyError(RuntimeError):
    """The request could not be begun: not initialized, shut down, or no usable proxy."""


_NEVER_LEFT = (
    NotReadyError,
    aiohttp.ClientConnectorError,  # refused, no such host, no TLS; the proxy's as well
    aiohttp.ClientHttpProxyError,  # the proxy would not connect
    aiohttp.ConnectionTimeoutError,  # no connection, or no place in the pool, in time
    aiohttp.ServerFingerprintMismatch,
    aiohttp.InvalidURL,
)
"""What ends a request before a byte of it was written."""

_Proxy: TypeAlias = tuple[URL | None, dict[str, str]]
"""A proxy's address without a password, and the headers that hold it."""


@dataclass(frozen=True, slots=True)
class Timeouts:
    """How long to wait, in seconds; None is for ever.

    ``read`` counts from one piece of the answer to the next; ``write`` is for sending a
    request, ``media_write`` for one with a file; ``connect`` is for making a connection and
    ``pool`` for waiting for a free one. The values are the library's own but for ``read``
    (5 there): a message whose time is up may have arrived, so its time should rarely be up.
    """

    read: float | None = 15.0
    write: float | None = 5.0
    connect: float | None = 5.0
    pool: float | None = 1.0
    media_write: float | None = 20.0


class AiohttpRequest(BaseRequest):
    """The library's way to the Bot API over an aiohttp session.

    Errors are those of the library's own class: ``TimedOut`` for a time-out of any kind, else
    ``NetworkError``, with the client's error as ``__cause__``; ``never_left`` tells whether
    the request may be repeated without risk. No error text holds an address of the API.

    Proxies of the environment (HTTPS_PROXY, HTTP_PROXY, ALL_PROXY, NO_PROXY) are used, except
    for addresses of this machine. Redirects are not followed: an answer must come from
    where the token was sent.
    """

    __slots__ = ("_connections", "_proxies", "_session", "_timeouts")

    def __init__(self, connections: int = 256, timeouts: Timeouts | None = None) -> None:
        """At most ``connections`` requests at once."""
        self._connections = connections
        self._timeouts = timeouts or Timeouts()
        self._session: aiohttp.ClientSession | None = None
        self._proxies: dict[tuple[str, str], _Proxy] = {}

    @property
    def read_timeout(self) -> float | None:
        """See BaseRequest: the usual time to wait for an answer, in seconds."""
        return self._timeouts.read

    async def initialize(self) -> None:
        """See BaseRequest: to be called in the event loop that makes the requests."""
        if self._session is not None and not self._session.closed:
            return
        self._session = aiohttp.ClientSession(
            connector=aiohttp.TCPConnector(limit=self._connections, ttl_dns_cache=300),
            cookie_jar=aiohttp.DummyCookieJar(),
            headers={"User-Agent": self.USER_AGENT},
            # Proxies are looked up here: the session itself would ask two threads for them,
            # and for a .netrc, before every single request.
            trust_env=False,
        )

    async def shutdown(self) -> None:
        """See BaseRequest: closes all connections."""
        if self._session is not None:
            await self._session.close()

    async def do_request(  # noqa: PLR0913 - the library's signature
        self,
        url: str,
        method: str,
        request_data: RequestData | None = None,
        read_timeout: object = BaseRequest.DEFAULT_NONE,
        write_timeout: object = BaseRequest.DEFAULT_NONE,
        connect_timeout: object = BaseRequest.DEFAULT_NONE,
        pool_timeout: object = BaseRequest.DEFAULT_NONE,
    ) -> tuple[int, bytes]:
        """See BaseRequest: the status and the body of the answer."""
        has_files = request_data is not None and request_data.contains_files
        given = (read_timeout, write_timeout, connect_timeout, pool_timeout)
        timeout = self._timeout(given, has_files=has_files, bounded=method != "GET")
        try:
            proxy, for_proxy = self._proxy(url)
            # Without TLS the proxy reads the request itself, and its headers are looked for there.
            in_request = for_proxy if url.startswith("http:") else {}
            async with self._open_session().request(
                method,
                url,
                data=_body(request_data),
                headers={**({} if has_files else _FORM), **in_request},
                timeout=timeout,
                allow_redirects=False,
                proxy=proxy,
                proxy_headers=for_proxy,
            ) as response:
                return response.status, _readable(response.status, await response.read())
        except TimeoutError as error:
            _remove_tokens(error)
            raise TimedOut(f"Timed out ({type(error).__name__})") from error
        except (aiohttp.ClientError, OSError, NotReadyError) as error:
            _remove_tokens(error)
            raise NetworkError(f"{type(error).__name__}: {error}") from error

    @staticmethod
    def parse_json_payload(payload: bytes) -> dict[str, Any]:
        """See BaseRequest: an answer of the API; TelegramError where it is none.

        The library's own would write the whole of a broken answer, and with it what a family
        was told, to the log.
        """
        try:
            answer = json.loads(payload.decode("utf-8", "replace"))
        except ValueError:
            raise TelegramError("Invalid server response") from None
        if not isinstance(answer, dict) or not ("result" in answer or answer.get("ok") is False):
            raise TelegramError("Invalid server response")
        return answer

    def _open_session(self) -> aiohttp.ClientSession:
        if self._session is None or self._session.closed:
            raise NotReadyError("the transport is not initialized")
        return self._session

    def _timeout(
        self, given: tuple[object, ...], *, has_files: bool, bounded: bool
    ) -> aiohttp.ClientTimeout:
        """The client has no time-out for writing: a bound on the whole stands in for it."""
        own = self._timeouts
        usual = (own.read, own.media_write if has_files else own.write, own.connect, own.pool)
        read, write, connect, pool = map(_seconds, given, usual)
        making = None if connect is None or pool is None else connect + pool
        whole = None
        if bounded and making is not None and read is not None and write is not None:
            whole = making + write + read
        return aiohttp.ClientTimeout(
            total=whole, connect=making, sock_connect=connect, sock_read=read
        )

    def _proxy(self, url: str) -> _Proxy:
        """The proxy for that address as the environment had it at the first request there."""
        split = urlsplit(url)
        origin = (split.scheme, split.hostname or "")
        if origin not in self._proxies:
            self._proxies[origin] = _proxy_for(*origin)
        return self._proxies[origin]


def never_left(error: TelegramError) -> bool:
    """Whether the request of that error surely never left, so that a repeat is no double.

    False where it may have arrived: no answer in time, a cut connection, any answer that is
    an error of the server's.
    """
    return isinstance(error.__cause__, _NEVER_LEFT)


def _body(data: RequestData | None) -> bytes | aiohttp.FormData | None:
    """The parameters as a form; with files in several parts, as the library's own class does."""
    if data is None:
        return None
    if not data.contains_files:
        # A half of a surrogate pair has no UTF-8; "?" arrives, an exception would not.
        return urlencode(data.json_parameters, errors="replace").encode("ascii")
    form = aiohttp.FormData(quote_fields=False)
    for name, value in data.json_parameters.items():
        form.add_field(name, value.encode("utf-8", "replace").decode())
    for name, (filename, content, kind) in data.multipart_data.items():
        # The client warns of, and copes badly with, many bytes in one piece.
        held = io.BytesIO(content) if isinstance(content, bytes) else content
        form.add_field(name, held, filename=filename, content_type=kind)
    return form


def _readable(status: int, payload: bytes) -> bytes:
    """The body; for an error that is no answer of the API, such as a gateway's page, one that is.

    The library would put the page into its error's text, and that text into logs.
    """
    if status < HTTPStatus.MULTIPLE_CHOICES:
        return payload
    try:
        answer = json.loads(payload)
    except ValueError:
        answer = None
    if isinstance(answer, Mapping) and isinstance(answer.get("parameters", {}), Mapping):
        return payload
    return b'{"ok": false}'


def _seconds(given: object, usual: float | None) -> float | None:
    return float(given) if isinstance(given, (int, float)) else None if given is None else usual


def _proxy_for(scheme: str, host: str) -> _Proxy:
    """Raises NotReadyError for a kind of proxy that the client cannot use."""
    proxies = getproxies()
    found = proxies.get(scheme) or proxies.get("all")
    if not found or _is_loopback(host) or proxy_bypass(host):
        return None, {}
    url = URL(found if "://" in found else f"http://{found}")
    if url.scheme not in ("http", "https"):
        raise NotReadyError(f"a proxy of kind {url.scheme!r} cannot be used: it must be http")
    if url.user is None:
        return url, {}
    secret = b64encode(f"{url.user}:{url.password or ''}".encode()).decode("ascii")
    return url.with_user(None), {"Proxy-Authorization": f"Basic {secret}"}


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _remove_tokens(error: BaseException) -> None:
    """Take the addresses out of an error and of those it came from, which tracebacks show."""
    seen: set[int] = set()
    at: BaseException | None = error
    while at is not None and id(at) not in seen:
        seen.add(id(at))
        at.args = tuple(without_token(str(a)) if isinstance(a, (str, URL)) else a for a in at.args)
        if isinstance(at, OSError) and at.strerror:
            at.strerror = without_token(str(at.strerror))
        if isinstance(at, aiohttp.ClientResponseError):
            origin = at.request_info.real_url.origin()
            at.request_info = at.request_info._replace(url=origin, real_url=origin)
        at = at.__cause__ or at.__context__
