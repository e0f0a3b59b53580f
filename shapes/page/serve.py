"""The server: on this machine alone, or where it is asked
for on its network, until it is stopped.
"""

from __future__ import annotations

import contextlib
import secrets
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from typing import Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from shapes.errors import InputError, Problem
from shapes.page.app import Page
from shapes.page.guard import LARGEST_BODY, Guard
from shapes.page.opened import Opened

LOOPBACK = "127.0.0.1"
AT_ONCE = 800  # connections at once; more are turned away
REQUEST_WAIT = 10.0  # s for a connection to ask something


class Patient(H11Protocol):
    """A connection that is closed where no request comes: idle ones would else keep others out."""

    def connection_made(self, transport: Any) -> None:  # noqa: D102
        super().connection_made(transport)
        self.loop.call_later(REQUEST_WAIT, self._unheard)

    def _unheard(self) -> None:
        mine = self.transport is not None and self.transport.get_protocol() is self
        if mine and self.cycle is None and not self.transport.is_closing():
            self.transport.close()


def guarded(opened: Opened, token: str, hosts: list[str]) -> Guard:
    """Return the app behind its guard."""
    return Guard(Page(opened).app(), token, hosts)


def serve(
    opened: Opened,
    *,
    port: int = 0,
    network: bool = False,
    browse: bool = True,
    say: Callable[[str], None] = print,
) -> None:
    """Serve the page until it is interrupted. ``port`` 0 takes any that is free.

    Raises InputError where the port is taken, or where there is no network to serve it to.
    """
    names = [LOOPBACK, "localhost", *([_own_address()] if network else [])]
    token = secrets.token_urlsafe(24)
    listening = _listening("0.0.0.0" if network else LOOPBACK, port)
    number = listening.getsockname()[1]
    address = f"http://{LOOPBACK}:{number}/{token}/"
    say(f"the page is open at {address}")
    if network:
        beyond = f"http://{names[-1]}:{number}/{token}/"
        say(f"and for whoever is in your network and has this address: {beyond}")
        say(_code(beyond))
        say(
            "it goes through your network unencrypted: use it in a network that you trust; it ends"
            " with this command"
        )
    say("stop it with Ctrl-C; what was done is written already")
    app = guarded(opened, token, [f"{n}:{number}" for n in names])
    how = uvicorn.Config(
        app,
        log_level="error",
        access_log=False,
        lifespan="off",
        http=Patient,
        limit_concurrency=AT_ONCE,
        ws="websockets-sansio",
        ws_max_size=min(LARGEST_BODY, 1_000_000),
        ws_ping_interval=20,
        server_header=False,
        date_header=False,
        timeout_graceful_shutdown=2,
    )
    if browse:
        threading.Timer(0.4, webbrowser.open, (address,)).start()
    # Ctrl-C is how it ends; uvicorn has let what it was doing come to its end by then.
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(how).run(sockets=[listening])
    say("the page is closed")


def _listening(host: str, port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
        made.listen(128)  # before the address is said: who asks at once waits
    except OSError as error:
        made.close()
        raise InputError(
            Problem(
                "--port",
                f"{port} cannot be had: {error.strerror}",
                "",
                "choose another, or leave it out",
            )
        ) from None
    return made


def _own_address() -> str:
    """Return this machine's address in its network, by asking which one a packet would leave from.

    Raises InputError where it is in none.
    """
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))  # documentation address (RFC 5737): nothing is sent
        return str(probe.getsockname()[0])
    except OSError:
        found = Problem(
            "--on-network",
            "this machine is in no network",
            "",
            "connect it to one, or leave the option out",
        )
        raise InputError(found) from None
    finally:
        probe.close()


def _code(address: str) -> str:
    """Return an address as a QR code of characters."""
    import io

    import segno

    held = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(held, compact=True)
    return held.getvalue()
