"""HTTP that waits for the head of a request as long as it takes on one computer, and no longer.

The server by itself waits for ever: a few dozen connections on which a byte comes now and then would be all
that it lets in, and the page would answer nobody.
"""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

_HEAD_S = 10.0  # for all of it to come, from the first byte on or from the connection


class PatientProtocol(H11Protocol):
    """A connection that is closed if no whole head of a request comes in time. Bodies are the guard's."""

    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Go on waiting, from the first byte of a head to its last."""
        if not self._is_answering:
            self._wait()
        super().data_received(data)
        if self._is_answering:
            self._wait_no_more()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._wait_no_more()
        super().connection_lost(exc)

    @property
    def _is_answering(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete

    def _wait(self) -> None:
        if self._waiting is None:
            self._waiting = self.loop.call_later(_HEAD_S, self._give_up)

    def _wait_no_more(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _give_up(self) -> None:
        self._waiting = None
        if not self._is_answering:
            self.transport.close()
