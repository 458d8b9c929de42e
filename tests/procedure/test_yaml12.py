"""Scalars as YAML 1.2.2 core schema (chapter 10.3.2) resolves them, and what is refused."""

import pytest

from assistant.procedure.findings import ProcedureError
from assistant.procedure.yaml12 import LONGEST_TEXT, read_yaml, resolve_plain


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        # YAML 1.2.2, example 10.3 and the table of chapter 10.3.2
        ("null", None),
        ("~", None),
        ("", None),
        ("true", True),
        ("True", True),
        ("FALSE", False),
        ("0", 0),
        ("0o7", 7),
        ("0x3A", 58),
        ("-19", -19),
        ("0.", 0.0),
        ("-0.0", 0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -200000.0),
        (".inf", float("inf")),
        ("-.Inf", float("-inf")),
        # what YAML 1.1 reads otherwise: octal, boolean words, base sixty, timestamps, underscores
        ("010", 10),
        ("090", 90),
        ("NO", "NO"),
        ("ON", "ON"),
        ("yes", "yes"),
        ("1:30", "1:30"),
        ("2001-12-14", "2001-12-14"),
        ("1_000", "1_000"),
        ("0b1", "0b1"),
        ("65 NM", "65 NM"),
    ],
)
def test_a_plain_scalar_is_what_yaml_1_2_says(written, meant):
    value = resolve_plain(written)

    assert (type(value), value) == (type(meant), meant)


def test_quotes_make_text():
    assert read_yaml("runway: '24'\nother: \"090\"", "x").data == {"runway": "24", "other": "090"}


def test_every_key_and_item_knows_its_line():
    document = read_yaml("a: 1\nb:\n  - c: 2\n  - d: 3\n", "x")

    assert document.line_of(("b", 1, "d")) == 4
    assert document.line_of(("b", 0)) == 3
    assert document.line_of(("b", 1, "not written")) == 4
    assert document.line_of(("nowhere",)) == 1


@pytest.mark.parametrize(
    ("text", "line", "phrase"),
    [
        ("a: 1\nb: [1, 2\n", 3, "not YAML"),
        ("a: 1\n b: 2\n", 2, "not YAML"),
        ("a: 1\na: 2\n", 2, "given twice (first on line 1)"),
        ("a: &x 1\n", 1, "an anchor"),
        ("a: *x\n", 1, "an alias"),
        ("a: 1\nb: !!python/object:os.system 1\n", 2, "a tag"),
        ("a: !!int 3\n", 1, "a tag"),
        ("? [a, b]\n: 1\n", 1, "a key that is itself"),
        ("a: 1\nb: \x07\n", 2, "a character that text may not hold"),
        ("a: 1\n--- \nb: 2\n", 2, "not YAML"),
        ("", 1, "empty"),
        ("# nothing\n", 1, "empty"),
        ("[" * 40, 1, "nested too deeply"),
        ("a" * (LONGEST_TEXT + 1), 1, "longer than 256 KiB"),
    ],
)
def test_what_is_not_read_is_refused_in_one_line_at_its_line(text, line, phrase):
    with pytest.raises(ProcedureError) as caught:
        read_yaml(text, "some.yaml")

    (finding,) = caught.value.findings
    assert finding.line == line
    assert phrase in str(finding)
    assert str(finding).startswith(f"some.yaml:{line}: ")
    assert "Remedy: " in str(finding)
    assert str(finding).isprintable()


def test_aliases_cannot_expand_a_small_file():
    """The usual bomb, nine levels of nine references, ends at its first anchor."""
    bomb = "a: &a [x,x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)},*{chr(97 + n)}]\n" for n in range(9)
    )

    with pytest.raises(ProcedureError, match="an anchor"):
        read_yaml(bomb, "x")


def test_a_very_long_number_is_text_and_no_error_of_the_program():
    assert read_yaml("9" * 5000, "x").data == "9" * 5000
