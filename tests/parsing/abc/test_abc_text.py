import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.parsing.abc.abc_text import clean_text, decode_abc

# Sources in this file are sections of the ABC music standard 2.1, December 2011.


@pytest.mark.parametrize(
    ("escaped", "plain"),
    [
        (r"\`A \`a \`e \`o", "À à è ò"),
        (r"\'A \'a \'e \'o", "Á á é ó"),
        (r"\^A \^a \^e \^o", "Â â ê ô"),
        (r"\~A \~a \~n \~o", "Ã ã ñ õ"),
        (r"\"A \"a \"e \"o", "Ä ä ë ö"),
        (r"\cC \cc", "Ç ç"),
        (r"\AA \aa", "Å å"),
        (r"\/O \/o", "Ø ø"),
        (r"\uA \ua \uE \ue", "Ă ă Ĕ ĕ"),
        (r"\vS \vs \vZ \vz", "Š š Ž ž"),
        (r"\HO \Ho \HU \Hu", "Ő ő Ű ű"),
        (r"\ss \AE \ae \oe", "ß Æ æ œ"),
    ],
)
def test_the_mnemonics_of_the_standard_are_written_out(escaped, plain):
    # Source: section 8.2, table of accents.
    assert clean_text(escaped) == plain


@pytest.mark.parametrize("escaped", [r"\'e", "&eacute;", r"\u00e9", r"\U000000e9", r"{\'e}"])
def test_the_ways_to_write_an_accent_are_equivalent(escaped):
    # Source: section 8.2; the braces are a habit from typesetting.
    assert clean_text(f"Caf{escaped}") == "Café"


def test_characters_with_a_meaning_can_be_escaped():
    # Source: section 8.2, special characters; gin & tonic needs no backslash.
    assert clean_text(r"50\% \\ G\&T gin & tonic &quot;x&quot;") == r'50% \ G&T gin & tonic "x"'


def test_changes_of_font_are_taken_away():
    # Source: section 11.4.2.
    assert clean_text("$1Reel$0 for $$5") == "Reel for $5"


def test_trailing_articles_stay_as_they_are():
    assert clean_text(" Legacy,  The ") == "Legacy, The"


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_every_kind_of_line_end_is_understood(ending):
    # Source: section 8.
    assert decode_abc(f"X:1{ending}K:C{ending}".encode()) == "X:1\nK:C\n"


@pytest.mark.parametrize("mark", [codecs.BOM_UTF8])
def test_a_byte_order_mark_is_passed_over(mark):
    # Source: section 2.1.
    assert decode_abc(mark + b"X:1") == "X:1"


def test_wide_characters_with_a_byte_order_mark_are_understood():
    assert decode_abc("X:1\nT:Ü".encode("utf-16")) == "X:1\nT:Ü"


def test_text_that_is_no_utf8_is_latin1():
    assert decode_abc("T:Über".encode("latin-1")) == "T:Über"
    assert decode_abc("T:Über".encode()) == "T:Über"


@pytest.mark.parametrize("field", ["I:abc-charset iso-8859-2", "%%abc-charset ISO-8859-2"])
def test_the_charset_field_decides(field):
    # Source: section 3.1.17, charset field.
    text = f"{field}\nT:Łódź"
    assert decode_abc(text.encode("iso-8859-2")) == text


def test_a_charset_that_the_bytes_contradict_is_passed_over():
    assert decode_abc(b"I:abc-charset us-ascii\nT:\xc3\xbc").endswith("T:ü")


@given(st.binary())
def test_any_bytes_become_text_without_carriage_returns(content):
    assert "\r" not in decode_abc(content)


@given(st.text())
def test_cleaned_text_has_no_spaces_at_its_ends_or_doubled(text):
    cleaned = clean_text(text)
    assert cleaned == " ".join(cleaned.split())


@given(st.text(alphabet="&#xX0123456789abcdefABCDEF;D8\\uU ", max_size=30))
def test_cleaned_text_can_always_be_written_as_utf8(text):
    assert clean_text(text).encode().decode() == clean_text(text)
