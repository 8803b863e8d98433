"""Who sends the head of a request byte by byte is left; who sends it whole is answered, however late."""

from __future__ import annotations

import asyncio
import time

import pytest
import uvicorn
from uvicorn.server import ServerState

from cutfiles.page.server.patience import PatientProtocol

_HEAD = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"
_PATIENCE_S = 0.3


async def _app(scope: dict[str, object], receive: object, send: object) -> None:
    """Answers every request, after longer than a head may take."""
    await asyncio.sleep(2 * _PATIENCE_S)
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]})  # type: ignore[operator]
    await send({"type": "http.response.body", "body": b"ok"})  # type: ignore[operator]


async def _asked(*parts: bytes, every_s: float) -> tuple[bytes, float]:
    """What comes back when parts are sent one after the other, and after how long the connection ends."""
    config = uvicorn.Config(_app, lifespan="off", log_config=None, timeout_keep_alive=60)  # type: ignore[arg-type]
    config.load()
    state = ServerState()
    loop = asyncio.get_running_loop()
    server = await loop.create_server(
        lambda: PatientProtocol(config, server_state=state, app_state={}), "127.0.0.1", 0
    )
    async with server:
        port = server.sockets[0].getsockname()[1]
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        begun = time.monotonic()

        async def send() -> None:
            for part in parts:
                writer.write(part)
                await asyncio.sleep(every_s)

        sending = asyncio.create_task(send())
        answer = await asyncio.wait_for(reader.read(), 20)
        sending.cancel()
        writer.close()
    return answer, time.monotonic() - begun


@pytest.fixture(autouse=True)
def _impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutfiles.page.server.patience._HEAD_S", _PATIENCE_S)


def test_a_head_that_trickles_in_is_not_waited_for() -> None:
    """However long bytes go on coming."""
    endless = (_HEAD, *[b"x"] * 200)
    answer, taken_s = asyncio.run(_asked(*endless, every_s=0.05))
    assert answer == b""
    assert taken_s < 5, "all bytes were waited for"


def test_a_connection_on_which_nothing_comes_ends() -> None:
    """One that is only held open is not kept."""
    answer, _ = asyncio.run(_asked(every_s=0))
    assert answer == b""


def test_a_second_head_on_the_same_connection_may_not_trickle_either() -> None:
    """The first is answered, however long that takes."""
    endless = (_HEAD + b"\r\n", *[b""] * 20, *[b"G"] * 200)
    answer, taken_s = asyncio.run(_asked(*endless, every_s=0.05))
    assert answer.startswith(b"HTTP/1.1 200")
    assert answer.endswith(b"ok")
    assert taken_s < 6
