"""Who may ask: this computer alone, from the page itself, with the token of this start; and not too much."""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Any

MOST_BODY = 20_000_000  # bytes of a form with a picture as a camera makes it, or a job and its drawings
_BODY_S = 20.0  # to send it in: nothing on the same computer takes as long
_SAFE = ("GET", "HEAD")

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[MutableMapping[str, Any], Receive, Send], Awaitable[None]]

# Nothing from elsewhere, nothing inline; pictures that are part of the page are SVG elements in it.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
# The job sheet brings its style with it, and no script.
SHEET_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)


@dataclass(frozen=True, slots=True)
class Guard:
    """Stands before an app and lets through what may pass.

    Args:
        app: what is guarded.
        port: that the page is served on.
        token: of this start.
        stranger: answers who comes without the token, so that a person learns what to do.
    """

    app: App
    port: int
    token: str
    stranger: App

    async def __call__(self, scope: MutableMapping[str, Any], receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = {key.decode("latin-1").lower(): value.decode("latin-1") for key, value in scope["headers"]}
        refusal = self._refusal(scope["method"], headers)
        if refusal:
            await _plain(send, 403, refusal)
            return
        if not self._knows(scope, headers):
            await self.stranger(scope, receive, _with_headers(send))
            return
        if _claimed(headers) > MOST_BODY:
            await _plain(send, 413, "This is more than the page takes.")
            return
        try:
            body = await asyncio.wait_for(_body(receive, scope["method"]), _BODY_S)
        except (TimeoutError, _BodyTooLargeError) as error:
            too_slow = isinstance(error, TimeoutError)
            await _plain(send, 408 if too_slow else 413, "This came too slowly." if too_slow else "Too much.")
            return
        await self.app(scope, _again(body, receive), _with_headers(send))

    def _refusal(self, method: str, headers: dict[str, str]) -> str:
        hosts = {f"127.0.0.1:{self.port}", f"localhost:{self.port}"}
        if headers.get("host", "") not in hosts:
            return "This page is served under its own address alone."
        origin = headers.get("origin")
        if origin is not None and origin.removeprefix("http://") not in hosts:
            return "Another page may not ask this one."
        if method not in _SAFE and origin is None:
            return "Only the page itself may change anything."
        return ""

    def _knows(self, scope: MutableMapping[str, Any], headers: dict[str, str]) -> bool:
        if scope["path"] == "/begin":
            return True  # checks the token by itself
        try:
            cookie = SimpleCookie(headers.get("cookie", "")).get(cookie_name(self.port))
        except CookieError:
            return False
        return cookie is not None and is_same(cookie.value, self.token)


def cookie_name(port: int) -> str:
    """Return the name of the cookie: a browser has the same ones for every port."""
    return f"cutfiles-{port}"


def is_same(given: str, token: str) -> bool:
    """Return whether a token is right, in a time that tells nothing."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), token.encode())


class _BodyTooLargeError(Exception):
    """A body larger than it claimed to be, or than is taken."""


def _claimed(headers: dict[str, str]) -> int:
    claimed = headers.get("content-length", "0")
    return int(claimed) if claimed.isascii() and claimed.isdigit() and len(claimed) < 16 else MOST_BODY + 1


async def _body(receive: Receive, method: str) -> bytes:
    if method in _SAFE:
        return b""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > MOST_BODY:
            raise _BodyTooLargeError
        if not message.get("more_body", False):
            return bytes(body)


def _again(body: bytes, receive: Receive) -> Receive:
    """Hand over a body that was read; later calls tell when the browser leaves."""
    left = [body]

    async def again() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return again


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = list(message.get("headers", []))
            there = {key.lower() for key, _ in headers}
            headers += [(key, value) for key, value in _HEADERS if key not in there]
            if b"content-security-policy" not in there:
                headers.append((b"content-security-policy", POLICY.encode()))
            message = {**message, "headers": headers}
        await send(message)

    return sending


async def _plain(send: Send, status: int, says: str) -> None:
    body = f"{says}\n".encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    headers.append((b"connection", b"close"))
    await _with_headers(send)({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
