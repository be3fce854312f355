"""A bad book is no book: every fault is told with the line that it stands on."""

import time
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.findings import UserError
from hoopwright.rules.lines import line_of, lines_of
from hoopwright.rules.reading import book_from_text, read_book

HEAD = """[book]
id = "b"
body = "B"
edition = "1"
unit = "mm"
provenance = "read"
"""
GOOD = """[[rule]]
id = "r"
kind = "helmet"
least = 50
"""


def faults(text):
    with pytest.raises(UserError) as error:
        book_from_text(text, "b.toml")
    return [(finding.code, finding.sentence) for finding in error.value.findings]


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("", "RULE-004", "there is no [book] table"),
        (HEAD, "RULE-004", "line 1: the book has no rule"),
        (HEAD.replace('unit = "mm"', 'unit = "cm"') + GOOD, "RULE-004", "line 5: [book]: unit: 'cm' is not one of"),
        (HEAD + GOOD.replace("least = 50\n", ""), "RULE-004", "line 7: rule 'r' (helmet): least is missing"),
        (HEAD + '[[rule]]\nid = "r"\nkind = "distance"\nof = "end to foot"\n', "RULE-004", "line 7: rule 'r'"),
        (HEAD + GOOD.replace("helmet", "helmt"), "RULE-005", "line 9: rule 'r': 'helmt' is not a kind of check"),
        (HEAD + GOOD + 'applies = "main hop"\n', "RULE-004", "line 11: rule 'r': applies: 'main hop' is not one of"),
        (HEAD + GOOD + "\n# a remark\nleest = 3\n", "RULE-003", "line 13: rule 'r' (helmet): 'leest'"),
        (HEAD + GOOD.replace("50", '"30 deg"'), "RULE-004", "line 10: rule 'r' (helmet): least: '30 deg'"),
        (HEAD + '[[rule]]\nid = "r"\nkind = "plate"\narea_least = 120\n', "RULE-004", "line 10: rule 'r' (plate)"),
        (HEAD + GOOD.replace("50", "nan"), "RULE-004", "line 10: rule 'r' (helmet): least: nan"),
        (HEAD + GOOD.replace("50", "-50"), "RULE-004", "line 10: rule 'r' (helmet): least: -50 is negative"),
        (HEAD + GOOD + GOOD, "RULE-006", "line 12: rule 'r' is there already, on line 7"),
        (HEAD + GOOD + 'unless = "q"\n', "RULE-007", "line 11: rule 'r': there is no rule 'q'"),
        (HEAD + GOOD + 'unless = "r"\n', "RULE-007", "line 11: rule 'r' leans on itself: r -> r"),
        (HEAD + '[[rule]]\nid = "r"\nsame_as = "r"\n', "RULE-007", "line 9: rule 'r' leans on itself"),
        (HEAD + GOOD + 'edition = "2"\n', "RULE-008", "line 11: rule 'r' is of edition '2', and the book of '1'"),
        (HEAD.replace("[book]", "[[book]]") * 2 + GOOD, "RULE-008", "line 7: there are several [[book]] tables"),
        (HEAD * 2 + GOOD, "RULE-002", "at line 7"),
        (HEAD.replace('provenance = "read"\n', "") + GOOD, "RULE-004", "line 6: rule 'r': provenance is missing"),
        (HEAD + '[[rule]]\nid = "q"\nkind = "question"\n', "RULE-004", "line 7: rule 'q': question is missing"),
        (HEAD + GOOD + "[[rule.case]]\nhelmet_line = 60\n", "RULE-004", "line 11: rule 'r', case 1: expect is missing"),
        (HEAD + GOOD + 'case = [\n  { expect = "pass", helmet_line = 60 },\n  { expect = "passes" },\n]\n',
         "RULE-004", "line 13: rule 'r', case 2: expect: 'passes'"),
        (HEAD + GOOD + '[[rule.case]]\nexpect = "pass"\nhelmetline = 60\n', "RULE-003", "line 13: rule 'r', case 1"),
        (HEAD + GOOD + "[table]\n", "RULE-003", "line 11: the file: 'table'"),
        (HEAD + '[[rule]]\nid = "r"\nkind = "tube size"\nbands = [\n  { most = 9, sizes = "45 x 2.5" },\n'
         '  { most = 5, sizes = "45 x 2.5" },\n]\n', "RULE-004", "in rising order"),
        (HEAD + '[[rule]]\nid = "r"\nkind = "tube size"\nbands = [\n  { sizes = "45 x 25" },\n]\n',
         "RULE-004", "line 11: rule 'r' (tube size): tube: A tube of 45 mm"),
        ("[[rule]\n", "RULE-002", "at line 1"),
        ("x = " + "[" * 3000 + "]" * 900, "RULE-002", "recursion"),
        ("x = " + "[\n" * 3000 + "]\n" * 3000, "RULE-002", "recursion"),
        ("[b" + ".a" * 1900 + "]", "RULE-002", "line 1 has over"),
        ("x = '" + "a" * 5000 + "'", "RULE-002", "line 1 has over"),
        (HEAD + GOOD.replace("50", "1" + "0" * 3500), "RULE-004", "line 10"),
    ],
)  # fmt: skip
def test_each_fault_is_told_with_its_line(text, code, words):
    told = faults(text)
    assert [one for one in told if one[0] == code and words in one[1]], told


def test_a_mistyped_name_gets_the_nearest_one():
    with pytest.raises(UserError) as error:
        book_from_text(HEAD + GOOD.replace("least", "leest"), "b.toml")
    assert any("Did you mean 'least'?" in finding.todo for finding in error.value.findings)


def test_all_faults_are_told_at_once_in_the_order_of_lines():
    text = HEAD + GOOD.replace("50", "nan") + GOOD.replace('"r"', '"q"') + "wrong = 1\n"
    assert [sentence.partition(":")[0] for _, sentence in faults(text)] == [
        "b.toml, line 10",
        "b.toml, line 15",
    ]


def test_a_file_of_many_faults_does_not_take_long():
    start = time.process_time()
    lines = "\n".join(f"b{number}" + ".a" * 50 + " = 1" for number in range(2000))
    assert len(faults(HEAD + lines)) == 50
    assert time.process_time() - start < 20.0


def test_files_that_cannot_be_read(tmp_path):
    (tmp_path / "binary.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "huge.toml").write_text("# " + "x" * 500_000, encoding="utf-8")
    for name in ("absent.toml", "binary.toml", "huge.toml"):
        with pytest.raises(UserError) as error:
            read_book(tmp_path / name)
        assert error.value.findings[0].code == "RULE-001"


def test_copied_limits_may_be_changed():
    book = book_from_text(HEAD + GOOD + '[[rule]]\nid = "q"\nsame_as = "r"\nline = "level"\n', "b.toml")
    assert [(rule.limits.least_mm, rule.limits.line) for rule in book.rules] == [
        (50.0, "front bar"),
        (50.0, "level"),
    ]


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path):
    file = tmp_path / "b.toml"
    file.write_bytes(b"\xef\xbb\xbf" + (HEAD + GOOD).replace("\n", "\r\n").encode())
    assert read_book(file).rules[0].line == 7


# The lines, against the standard reader: a text with one value replaced on the line that is told must read as that.

VALUES = st.one_of(
    st.integers(-9, 9).map(str),
    st.sampled_from(
        [
            '"a [b] = {c} # d"',
            "'x.y'",
            '"""\n[[no]]\nk = 1\n"""',
            "'''\n# \"\n'''",
            "true",
            "1979-05-27",
            '"\\"#"',
        ]
    ),
)
KEYS = st.sampled_from(["a", "b-1", '"q k"', "c_d"])


@st.composite
def documents(draw):
    """A TOML text, with the line of each plain key of each table as it was written."""
    lines, expect = [], {}
    counts: dict[str, int] = {}
    for name in draw(st.lists(st.sampled_from(["rule", "other"]), min_size=1, max_size=4)):
        lines += draw(st.sampled_from([[], ["# [x]"], ["", ""]]))
        number = counts[name] = counts.get(name, -1) + 1
        lines.append(f"[[{name}]]  # head")
        expect[(name, number)] = len(lines)
        for key in draw(st.lists(KEYS, unique=True, max_size=4)):
            inner = draw(VALUES)
            one_line = inner if "\n" not in inner else "1"
            in_list = f"[\n  {inner},\n  # ]\n  {{ z = {one_line} }},\n]"
            value = draw(st.sampled_from([inner, in_list]))
            expect[(name, number, key.strip('"'))] = len(lines) + 1
            lines += f"{key} = {value}".split("\n")
    return "\n".join(lines) + "\n", expect


@given(documents())
def test_lines_are_those_that_keys_were_written_on(document):
    text, expect = document
    tomllib.loads(text)
    found = lines_of(text)
    assert {path: found.get(path) for path in expect} == expect


def test_a_place_without_a_line_of_its_own_has_that_of_what_is_around_it():
    lines = lines_of('[book]\nid = "x"\n[[rule]]\n[[rule.case]]\na = 1\n[[rule.case]]\nb = [\n 1,\n 2 ]\n')
    assert [
        line_of(lines, path) for path in (("rule", 0, "case", 1, "b", 1), ("rule", 0, "no"), ("no",))
    ] == [9, 3, 0]
