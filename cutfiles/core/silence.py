"""Libraries that log what they mend: what a user should know of a file cutfiles says itself."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def silent(logger: str) -> Iterator[None]:
    """Keep a library's log silent meanwhile; its level is put back.

    Args:
        logger: the name of its log.
    """
    log = logging.getLogger(logger)
    level = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        log.setLevel(level)
