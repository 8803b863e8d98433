"""Serving the page on this computer alone, until Ctrl-C."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from cutfiles.core.errors import CutfilesError
from cutfiles.page.desk import Desk

# The same at each start, so that a page left open can be told that it is of an earlier one.
USUAL_PORT = 8765
_LEAVE_S = 1  # for answers that are on their way when the page is closed
_MOST_CONNECTIONS = 60


class PortError(CutfilesError):
    """Another program has the port."""

    file = "cutfiles page"  # not the job file


def serve(job: Path | None, *, port: int | None, browser: bool, say: Callable[[str], None]) -> None:
    """Serve the page until the user ends it; nothing of it stays, no process and no file.

    Args:
        job: a job file to begin with, or None.
        port: to be served on; None for the usual one, or any if that is taken.
        browser: whether to open one.
        say: told the address, first of all.

    Raises:
        PortError: the port that was asked for is taken.
        JobError: the job file can't be read.
    """
    with contextlib.closing(_listening(port)) as listening:
        desk = Desk.begin(job)
        try:
            _serve(desk, listening, browser=browser, say=say)
        finally:
            desk.close()


def _serve(desk: Desk, listening: socket.socket, *, browser: bool, say: Callable[[str], None]) -> None:
    port = listening.getsockname()[1]
    address = f"http://127.0.0.1:{port}/begin?token={desk.token}"
    say(address)
    import uvicorn  # noqa: PLC0415

    from cutfiles.page.server.app import guarded_app  # noqa: PLC0415
    from cutfiles.page.server.patience import PatientProtocol  # noqa: PLC0415

    config = uvicorn.Config(
        guarded_app(desk, port, lambda: server.should_exit),
        log_config=None,
        access_log=False,
        lifespan="off",
        http=PatientProtocol,
        ws="none",
        loop="asyncio",
        limit_concurrency=_MOST_CONNECTIONS,
        timeout_graceful_shutdown=_LEAVE_S,
        server_header=False,
    )
    server = uvicorn.Server(config)
    if browser:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
    server.run(sockets=[listening])


def _listening(port: int | None) -> socket.socket:
    """Return a listening socket of the loopback: a browser may come as soon as it is given the address."""
    for wanted in (USUAL_PORT, 0) if port is None else (port,):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if os.name == "posix":  # elsewhere two programs would then share a port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind(("127.0.0.1", wanted))
            listening.listen(64)
        except OSError:
            listening.close()
            continue
        return listening
    raise PortError(f"port {port} is taken by another program; give another one, or leave --port out")
