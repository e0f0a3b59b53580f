"""Who may ask: the address must hold the token, and be asked for from the page itself.

Every request and every socket is checked before anything of it is read: the token in the path
(compared in constant time), the Host (so that no name of a stranger's leads here), the Origin where
there is one. A body has a size, sockets a number. Answers carry a policy that lets the page fetch
nothing from anywhere else.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Sequence

from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = 4_000_000  # bytes of a body: artwork and recipes are far smaller
MOST_SOCKETS = 24
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:;"
    " connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors"
    " 'self'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class TooLargeError(Exception):
    """A body is larger than anything the page sends."""


class Guard:
    """Stands before the page: lets in who has the token, and nobody else."""

    def __init__(self, app: ASGIApp, token: str, hosts: Sequence[str]) -> None:
        """``hosts``: what the Host may be, with its port."""
        self.app = app
        self.token = token
        self.hosts = frozenset(hosts)
        self.sockets = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check one request or socket."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        given = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        names = [k.lower() for k, _ in scope["headers"]]
        if any(names.count(n) > 1 for n in (b"host", b"origin")):
            given["host"] = ""  # two of them: neither is believed
        refused = self._refused(scope, given)
        if refused:
            await _turn_away(scope, receive, send, *refused)
            return
        inner = {**scope, "path": "/" + scope["path"].split("/", 2)[2]}
        inner.pop("raw_path", None)
        if scope["type"] == "websocket":
            self.sockets += 1
            try:
                await self.app(inner, receive, send)
            finally:
                self.sockets -= 1
            return
        await self.app(inner, _measured(receive), _dressed(send))

    def _refused(self, scope: Scope, given: dict[str, str]) -> tuple[int, str] | None:
        if given.get("host", "") not in self.hosts:
            return 421, "this address is none of the page's"
        parts = scope["path"].split("/", 2)
        if len(parts) < 3 or not hmac.compare_digest(parts[1].encode(), self.token.encode()):
            return 403, "open the address that shapes open printed: it holds the key"
        origin = given.get("origin")
        if origin is not None and origin not in {f"http://{h}" for h in self.hosts}:
            return 403, "only the page itself may ask"
        if given.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return 403, "only the page itself may ask"
        if scope["type"] == "websocket":
            if origin is None:
                return 403, "only the page itself may ask"
            if self.sockets >= MOST_SOCKETS:
                return 503, "too many pages are open"
        size = given.get("content-length", "0")
        if not size.isdigit() or int(size) > LARGEST_BODY:
            return 413, "that is larger than anything the page sends"
        return None


def _measured(receive: Receive) -> Receive:
    """Count a body as it comes, whatever its header says."""
    had = 0

    async def counted() -> Message:
        nonlocal had
        message = await receive()
        if message["type"] == "http.request":
            had += len(message.get("body", b""))
            if had > LARGEST_BODY:
                raise TooLargeError
        return message

    return counted


def _dressed(send: Send) -> Send:
    """Add the headers that every answer carries."""

    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {k.lower() for k, _ in message.get("headers", [])}
            more = [(k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in own]
            message = {**message, "headers": [*message.get("headers", []), *more]}
        await send(message)

    return with_headers


async def _turn_away(scope: Scope, receive: Receive, send: Send, status: int, why: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008, "reason": why})
        return
    body = json.dumps(
        {"problems": [{"where": "page", "what": why, "allowed": "", "remedy": ""}]}
    ).encode()
    headers = [(k.encode(), v.encode()) for k, v in HEADERS.items()]
    headers += [
        (b"content-type", b"application/json"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
