"""A library's log is silent for a while, and only then."""

from __future__ import annotations

import logging

import pytest

from cutfiles.core.silence import silent


def test_a_log_is_silent_and_then_as_before(capsys: pytest.CaptureFixture[str]) -> None:
    """Also when what it is silent for goes wrong; its own level comes back."""
    log = logging.getLogger("tests.silence")
    log.setLevel(logging.WARNING)
    heard: list[str] = []
    log.addFilter(lambda record: bool(heard.append(record.getMessage())))

    def mend() -> None:
        log.error("mended")
        raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"), silent("tests.silence"):
        mend()
    log.warning("heard")
    assert heard == ["heard"]
    assert log.level == logging.WARNING
    assert capsys.readouterr().err == ""
