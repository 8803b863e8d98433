"""Any text in the letters that a pen has."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.letters import nearest_letters


@given(st.text(max_size=40))
def test_whatever_is_written_is_ascii(text: str) -> None:
    """And writing it again changes nothing."""
    near = nearest_letters(text)
    assert near.isascii()
    assert nearest_letters(near) == near


@given(st.text(alphabet=st.characters(max_codepoint=126, min_codepoint=32), max_size=40))
def test_what_the_pen_has_stays_as_it_is(text: str) -> None:
    """To the letter."""
    assert nearest_letters(text) == text


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("Čeština", "Cestina"), ("Ærø", "Aero"), ("STRASSE ẞ", "STRASSE SS"), ("naïve café", "naive cafe"),
        ("cafe\u0301", "cafe"), ("Полынь", "Polyn"), ("ЩУКА", "ShchUKA"), ("Θάλασσα", "Thalassa"),
        ("½ yd", "1/2 yd"), ("海", ""), ("海 2", "2"), ("ﬁn", "fin"), ("Đorđe", "Dorde"),
        ("tide\u200c", "tide"),
    ],
)  # fmt: skip
def test_letters_come_near(text: str, near: str) -> None:
    """Accents off, ligatures apart, two scripts spelled out; what has no like falls away."""
    assert nearest_letters(text) == near
