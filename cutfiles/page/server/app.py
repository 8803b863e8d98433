"""What the page answers: routes and their responses. An action of a form is answered with the whole desk."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Coroutine
from pathlib import Path
from typing import Any

import jinja2
from starlette.applications import Starlette
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from cutfiles.core.errors import CutfilesError
from cutfiles.formats.registry import stem_of
from cutfiles.page import edits
from cutfiles.page.cloth import made_anew
from cutfiles.page.desk import Desk
from cutfiles.page.fields.blocks import block_svg, choice_svg, example_svg
from cutfiles.page.fields.form import sentence
from cutfiles.page.fields.named_files import DRAWINGS, NOTES, PICTURES
from cutfiles.page.processes.run import LAID_CLOTH, STROKES, LayoutRun
from cutfiles.page.server.actions import ACTIONS, Action, key_path, number
from cutfiles.page.server.guard import SHEET_POLICY, App, Guard, cookie_name, is_same
from cutfiles.page.view import context, gives_of

_PAGE = Path(__file__).parents[1]
_STATIC = {"htmx.min.js", "hx-sse.min.js", "page.js", "hand.js", "play.js", "page.css", "htmx-licence.txt"}
_LOOK_S = 0.1  # how often a run is looked at for a page that watches
_TEMPLATES = jinja2.Environment(
    loader=jinja2.FileSystemLoader(_PAGE / "templates"),
    autoescape=True,
    trim_blocks=True,
    lstrip_blocks=True,
    undefined=jinja2.StrictUndefined,
)
_TEMPLATES.globals.update(picture_endings=PICTURES, job_endings=(*NOTES, *DRAWINGS, *PICTURES))
_MOST_FILES, _MOST_FIELDS = 40, 40


def guarded_app(desk: Desk, port: int, is_ending: Callable[[], bool] = lambda: False) -> App:
    """Return the whole page for a desk, served on a port; streams end once `is_ending` says so."""
    answers = _Answers(desk, port, is_ending)
    routes = [
        Route("/", answers.page),
        Route("/begin", answers.begin),
        Route("/desk", answers.desk_alone),
        Route("/gives", answers.gives),
        Route("/unsaved", answers.unsaved),
        Route("/static/{name}", _static),
        Route("/picture/{name}", _picture),
        Route("/run/events", answers.events),
        Route("/run/strokes/{number:int}", answers.strokes),
        Route("/take/all.zip", answers.zipped),
        Route("/take/job.toml", answers.job_file),
        Route("/take/file/{name}", answers.file),
        *(Route(f"/{name}", answers.act(action), methods=["POST"]) for name, action in ACTIONS.items()),
        Route("/open", answers.open, methods=["POST"]),
        Route("/give", answers.take_file, methods=["POST"]),
        Route("/cloth", answers.take_cloth, methods=["POST"]),
        Route("/cloth/{index:int}", answers.cloth),
        Route("/laid/{index:int}", answers.laid_cloth),
    ]
    app = Starlette(routes=routes)
    return Guard(app, port, desk.token, answers.stranger)


class _Answers:
    def __init__(self, desk: Desk, port: int, is_ending: Callable[[], bool]) -> None:
        self._desk, self._port, self._is_ending = desk, port, is_ending

    async def stranger(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer a request without a token, or with one of an earlier start."""
        page = _TEMPLATES.get_template("stranger.html").render()
        await HTMLResponse(page, 403)(scope, receive, send)

    async def begin(self, request: Request) -> Response:
        if not is_same(request.query_params.get("token", ""), self._desk.token):
            return HTMLResponse(_TEMPLATES.get_template("stranger.html").render(), 403)
        response = RedirectResponse("/", 303)
        # Lax would do; strict keeps the page to itself.
        response.set_cookie(cookie_name(self._port), self._desk.token, httponly=True, samesite="strict")
        return response

    async def page(self, _request: Request) -> Response:
        return HTMLResponse(_TEMPLATES.get_template("page.html").render(context(self._desk)))

    async def desk_alone(self, _request: Request) -> Response:
        return HTMLResponse(_TEMPLATES.get_template("desk.html").render(context(self._desk)))

    async def gives(self, _request: Request) -> Response:
        """Answer with what is known of what the fabrics give, and have the rest worked out."""
        self._desk.ask()
        return HTMLResponse(_TEMPLATES.get_template("gives.html").render(gives=gives_of(self._desk)))

    async def unsaved(self, _request: Request) -> Response:
        """Answer whether something is nowhere else, asked once a file was taken away."""
        return Response("yes" if self._desk.would_be_lost else "no", media_type="text/plain")

    def act(self, action: Action) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return what answers a form: the desk as it is after the action, done or refused."""

        async def answer(request: Request) -> Response:
            async with request.form(max_files=0, max_fields=_MOST_FIELDS, max_part_size=2_000_000) as form:
                self._act(action, form)
            return await self.desk_alone(request)

        return answer

    def _act(self, action: Action, form: FormData) -> None:
        desk = self._desk
        revision = str(form.get("revision", ""))
        if revision and revision != str(desk.revision):
            desk.message = (
                "Another window had changed the list meanwhile; here it is as it stands. Try again."
            )
            return
        try:
            action(desk, form)
        except CutfilesError as error:
            desk.message = sentence(str(error))

    async def take_cloth(self, request: Request) -> Response:
        """Take a picture of cloth. What comes is hostile until it is made anew, which takes its time."""
        desk = self._desk
        async with request.form(max_files=1, max_fields=_MOST_FIELDS) as form:
            upload, index = form.get("picture"), number(form)
            content = await upload.read() if isinstance(upload, UploadFile) else b""
        try:
            edits.show_cloth(desk, index, await asyncio.to_thread(made_anew, content))
        except CutfilesError as error:
            desk.message = sentence(str(error))
        return await self.desk_alone(request)

    async def take_file(self, request: Request) -> Response:
        """Take a drawing, or notes on a machine, for a key that names one."""
        async with request.form(max_files=1, max_fields=_MOST_FIELDS) as form:
            upload, path = form.get("file"), key_path(form)
            content = await upload.read() if isinstance(upload, UploadFile) else b""
            name = (upload.filename or "") if isinstance(upload, UploadFile) else ""
        try:
            edits.give_file(self._desk, path, name, content)
        except CutfilesError as error:
            self._desk.message = sentence(str(error))
        return await self.desk_alone(request)

    async def cloth(self, request: Request) -> Response:
        """Answer with the picture of a fabric of the job, by the fabric's number."""
        seen, index = self._desk.seen, request.path_params["index"]
        fabrics = seen.sized.job.fabrics if seen.sized else ()
        picture = seen.pictures.get(fabrics[index].name) if index < len(fabrics) else None
        return Response(picture.content, media_type=picture.media) if picture else _no_picture()

    async def laid_cloth(self, request: Request) -> Response:
        """Answer with the picture of a fabric as it was when the job was laid out."""
        run = self._desk.run
        file = run.out / LAID_CLOTH.format(request.path_params["index"]) if run else None
        return FileResponse(file, media_type="image/jpeg") if file and file.exists() else _no_picture()

    async def open(self, request: Request) -> Response:
        desk = self._desk
        async with request.form(max_files=_MOST_FILES, max_fields=_MOST_FIELDS) as form:
            files = {}
            for upload in form.getlist("files"):
                if isinstance(upload, UploadFile) and upload.filename:
                    files[upload.filename] = await upload.read()
        try:
            desk.open(files)
        except (CutfilesError, OSError) as error:
            desk.message = sentence(str(error))
        return await self.desk_alone(request)

    async def events(self, _request: Request) -> Response:
        run = self._desk.run
        if run is None:
            return Response(status_code=204)
        stream = _events(run, self._is_ending)
        return StreamingResponse(
            stream, media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    async def strokes(self, request: Request) -> Response:
        """Answer with the strokes of a load in the order in which the machine runs them."""
        run = self._desk.run
        file = run.out / f"{run.drawn}-{STROKES.format(request.path_params['number'])}" if run else None
        return FileResponse(file, media_type="application/json") if file and file.exists() else _nothing_yet()

    async def zipped(self, _request: Request) -> Response:
        packed = await asyncio.to_thread(self._desk.zipped)
        if packed is None:
            return _nothing_yet()
        headers = {"Content-Disposition": 'attachment; filename="cutfiles.zip"'}
        return Response(packed, media_type="application/zip", headers=headers)

    async def job_file(self, _request: Request) -> Response:
        self._desk.kept = self._desk.text
        headers = {"Content-Disposition": 'attachment; filename="job.toml"'}
        return Response(self._desk.text, media_type="application/toml", headers=headers)

    async def file(self, request: Request) -> Response:
        run, name = self._desk.run, request.path_params["name"]
        folder = run.folder if run else None
        # A name that was listed, never a path that was asked for.
        if folder is None or name not in {path.name for path in folder.iterdir()}:
            return _nothing_yet()
        if name.endswith(".html"):
            headers = {"Content-Security-Policy": SHEET_POLICY}
            return FileResponse(folder / name, media_type="text/html", headers=headers)
        return FileResponse(folder / name, filename=name, media_type="application/octet-stream")


async def _static(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in _STATIC:
        return Response("There is no such file.\n", 404)
    return FileResponse(_PAGE / "static" / name)


async def _picture(request: Request) -> Response:
    """Answer with a small picture to choose by, such as `block.ring.svg` or `plate.tip.round.svg`."""
    steps = stem_of(request.path_params["name"]).split(".")
    picture = ""
    if steps[0] == "block" and len(steps) == 2:
        picture = block_svg(steps[1])
    elif steps[0] == "example" and len(steps) == 2:
        picture = example_svg(steps[1])
    elif len(steps) == 3:
        picture = choice_svg(*steps)
    if not picture:
        return _no_picture()
    return Response(picture, media_type="image/svg+xml")


def _no_picture() -> Response:
    return Response("There is no such picture.\n", 404, media_type="text/plain")


def _nothing_yet() -> Response:
    return Response("There is nothing to take away yet: lay out first.\n", 404, media_type="text/plain")


async def _events(run: LayoutRun, is_ending: Callable[[], bool]) -> AsyncIterator[str]:
    """Progress as HTML that is put in its place; "layout" and "over" tell the page to fetch the desk anew."""
    version, layouts = -1, 0
    while not is_ending():
        if run.layouts != layouts:
            layouts = run.layouts
            yield "event: layout\ndata: 1\n\n"
        if run.over:
            yield "event: over\ndata: 1\n\n"
            return
        if run.version != version:
            version = run.version
            html = _TEMPLATES.get_template("progress.html").render(run=run)
            yield "".join(f"data: {line}\n" for line in html.splitlines()) + "\n"
        await asyncio.sleep(_LOOK_S)
