"""The page's requests: each a few lines between what the browser sends and the rooms below.

Whatever is worked out is worked out in a thread, so that the page answers meanwhile; pictures queue
behind one another, the board under the finger never behind a picture.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from anyio import CapacityLimiter, to_thread
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from shapes.errors import CannotMeetError, InputError, OutlineError, Problem
from shapes.files.safe import plain_name
from shapes.folders.bench import ChangedError
from shapes.page import begin, drafts, handing, laying, liking, pictures, wall
from shapes.page.guard import TooLargeError
from shapes.page.opened import Opened
from shapes.page.values import Body, clean

HERE = Path(__file__).parent / "static"
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}
LONGEST = 200_000  # characters of one message on a socket
Ask = Callable[[Opened, Body], Any]
POSTS: tuple[Ask, ...] = (
    begin.generate,
    begin.remember,
    wall.more,
    wall.between,
    wall.like,
    wall.say,
    wall.order,
    liking.strike,
    liking.forget,
    drafts.begin,
    drafts.touch,
    drafts.stand,
    drafts.keep,
    laying.lay,
    laying.measure,
    laying.settle,
    laying.lie,
    handing.prepare,
    handing.offer,
    handing.artwork,
    handing.engrave,
)
GETS: tuple[Ask, ...] = (
    begin.start,
    wall.wall,
    wall.brief,
    liking.taste,
    drafts.draft,
    drafts.drafts,
    laying.piece,
    handing.mark,
)
PICTURES: tuple[Ask, ...] = (pictures.wall, pictures.board, pictures.draft)


class Page:
    """The app over one opened place."""

    def __init__(self, opened: Opened) -> None:
        """Set up the queues."""
        self.opened = opened
        self._drawing = CapacityLimiter(2)  # pictures at once
        self._asked = CapacityLimiter(8)

    def app(self) -> Starlette:
        """Return the ASGI app."""
        routes = [
            Route(f"/api/{f.__name__}", partial(self._post, f), methods=["POST"]) for f in POSTS
        ]
        routes += [Route(f"/api/{f.__name__}", partial(self._get, f)) for f in GETS]
        routes += [Route(f"/picture/{f.__name__}", partial(self._picture, f)) for f in PICTURES]
        return Starlette(
            routes=[
                *routes,
                Route("/", self._static),
                Route("/static/{name}", self._static),
                Route("/file/{path:path}", self._file),
                Route("/all/{path:path}", self._all),
                WebSocketRoute("/shape", self._shape),
                WebSocketRoute("/changes", self._changes),
            ],
            exception_handlers={HTTPException: _plainly, Exception: _plainly},
        )

    async def _post(self, run: Ask, request: Request) -> Response:
        try:
            body = await request.json()
        except TooLargeError:
            return _refused(InputError(Problem("page", "sent more than it ever does")), 413)
        except (ValueError, RecursionError):
            return _refused(InputError(Problem("page", "sent what is no JSON")))
        except ClientDisconnect:
            return Response(status_code=400)
        if not isinstance(body, dict):
            return _refused(InputError(Problem("page", "sent no object")))
        return await self._answer(body, partial(run, self.opened, body))

    async def _get(self, run: Ask, request: Request) -> Response:
        asked = dict(request.query_params)
        return await self._answer(asked, partial(run, self.opened, asked))

    async def _answer(self, sent: Body, run: Callable[[], Any]) -> Response:
        try:
            clean(sent)
            made = await to_thread.run_sync(run, limiter=self._asked)
        except _TOLD as error:
            return _refused(error)
        return JSONResponse(made)

    async def _static(self, request: Request) -> Response:
        name = request.path_params.get("name", "index.html")
        path = HERE / name
        if (
            not re.fullmatch(r"[a-z]{1,20}\.[a-z]{2,4}", name)
            or path.suffix not in TYPES
            or not path.is_file()
        ):
            raise HTTPException(404)
        return FileResponse(path, media_type=TYPES[path.suffix])

    async def _picture(self, run: Ask, request: Request) -> Response:
        asked = dict(request.query_params)
        try:
            clean(asked)
            png = await to_thread.run_sync(partial(run, self.opened, asked), limiter=self._drawing)
        except _TOLD as error:
            return _refused(error)
        return Response(
            png, media_type="image/png", headers={"cache-control": "private, max-age=3600"}
        )

    async def _file(self, request: Request) -> Response:
        name = str(request.path_params["path"])
        try:
            clean(name)
            path = pictures.file(self.opened, name)
        except (InputError, OSError) as error:
            return _refused(error)
        return FileResponse(
            path,
            headers={
                "content-security-policy": (
                    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data: 'self'"
                )
            },
        )

    async def _all(self, request: Request) -> Response:
        name = str(request.path_params["path"]).replace("\0", "?")
        try:
            made = await to_thread.run_sync(
                partial(handing.zipped, self.opened, name), limiter=self._asked
            )
        except _TOLD as error:
            return _refused(error)
        called = plain_name(name.replace("/", "-")) or "batch"
        return Response(
            made,
            media_type="application/zip",
            headers={"content-disposition": f'attachment; filename="{called}.zip"'},
        )

    async def _shape(self, socket: WebSocket) -> None:
        """Draw and check the board under the finger.

        Of touches that wait, the newest alone is answered.
        """
        await socket.accept()
        newest: list[Body] = []
        more = asyncio.Event()

        async def read() -> None:
            while True:
                text = await socket.receive_text()
                newest[:] = [_message(text)]
                more.set()

        reading = asyncio.create_task(read())
        try:
            while not reading.done():
                waiting = asyncio.create_task(more.wait())
                await asyncio.wait({reading, waiting}, return_when=asyncio.FIRST_COMPLETED)
                waiting.cancel()
                if not newest:
                    continue
                asked = newest.pop()
                more.clear()
                await socket.send_text(json.dumps(await self._shaped(asked)))
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            reading.cancel()
            with contextlib.suppress(
                asyncio.CancelledError, WebSocketDisconnect, KeyError, RuntimeError
            ):
                await reading

    async def _shaped(self, asked: Body) -> Body:
        number = asked.get("number")
        number = number if isinstance(number, int) else 0
        try:
            clean(asked)
            return {
                "number": number,
                **await to_thread.run_sync(
                    partial(drafts.tried, self.opened, asked), limiter=self._asked
                ),
            }
        except _TOLD as error:
            return {"number": number, "problems": _problems(error)}

    async def _changes(self, socket: WebSocket) -> None:
        """Tell the page when somebody else changes the folder."""
        await socket.accept()
        folder = str(socket.query_params.get("folder", ""))
        gone = asyncio.create_task(socket.receive())
        was = None
        try:
            while not gone.done():
                now = await to_thread.run_sync(self.opened.bench({"folder": folder}).stamp)
                if was is not None and now != was:
                    await socket.send_text("changed")
                was = now
                await asyncio.wait({gone}, timeout=0.7)
        except (WebSocketDisconnect, RuntimeError, InputError, OSError):
            pass
        finally:
            gone.cancel()


_TOLD = (InputError, CannotMeetError, OutlineError, OSError)


def _message(text: str) -> Body:
    if len(text) > LONGEST:
        return {}
    try:
        made = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return made if isinstance(made, dict) else {}


def _problems(error: Exception) -> list[Body]:
    if isinstance(error, InputError):
        return [
            {"where": _option(p.where), "what": p.what, "allowed": p.allowed, "remedy": p.remedy}
            for p in error.problems
        ]
    lines = error.lines if isinstance(error, CannotMeetError) else [str(error)]
    return [{"where": "", "what": line, "allowed": "", "remedy": ""} for line in lines]


def _option(where: str) -> str:
    return re.sub(r"^option: ", "", where)


def _refused(error: Exception, status: int = 400) -> Response:
    status = 409 if isinstance(error, ChangedError) else status
    return JSONResponse({"problems": _problems(error)}, status)


async def _plainly(request: Request, error: Exception) -> Response:
    del request
    status = error.status_code if isinstance(error, HTTPException) else 500
    what = {404: "there is no such page", 405: "that is not asked so"}.get(
        status, "something went wrong here; the folder is as it was"
    )
    return JSONResponse(
        {"problems": [{"where": "page", "what": what, "allowed": "", "remedy": ""}]}, status
    )
