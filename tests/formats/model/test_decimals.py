"""Numbers read many at once are those that `float` reads one by one, to the last bit."""

from __future__ import annotations

import math
import struct

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.formats.model.decimals import decimals

PLAIN = st.decimals(min_value=-100_000, max_value=100_000, places=6).map(
    lambda number: f"{number:f}".encode()
)
WRITTEN = st.floats().map(repr).map(str.encode)
LONG = st.from_regex(rb"[1-9][0-9]{0,4}\.[0-9]{9,14}", fullmatch=True)
ANYTHING = st.text("0123456789.-+eE_ naif", max_size=20).map(str.encode)


def _bits(number: float) -> bytes:
    return b"NaN" if math.isnan(number) else struct.pack("d", number)


def _by_float(text: bytes) -> float:
    try:
        return float(text)
    except ValueError:
        return float("nan")


@given(texts=st.lists(PLAIN | LONG | WRITTEN | ANYTHING, max_size=8))
@example(texts=[b"-0", b"-0.0", b"+5", b"5.", b".5", b".", b"-", b"", b"--1", b"+-1"])
@example(texts=[b"0.1234567890123456", b"123456789012345", b"9007199254740993", b"0.000000000000001"])
@example(texts=[b"4503.599627370497", b"8.41471984807897", b"73.86091763067627", b"73.860917630676271"])
@example(texts=[b"1e5", b"1_0", b" 7", b"nan", b"-inf", b"1.2.3"])
def test_they_are_what_float_reads(texts: list[bytes]) -> None:
    """Whatever stands beside them, of any length, with or without a sign, a point or an exponent."""
    content = b";".join(texts)
    ends = np.cumsum([len(text) + 1 for text in texts], dtype=np.int64) - 1
    begins = ends - [len(text) for text in texts]
    read = decimals(content, np.frombuffer(content, dtype=np.uint8), begins, ends) if content else np.zeros(0)
    if content:
        assert [_bits(number) for number in read.tolist()] == [_bits(_by_float(text)) for text in texts]
