"""What no model holds is asked of a person: the row prints the question and how it is answered."""

import pytest
from tests.rules.judging import rows

from hoopwright.findings import Verdict

ASKED = [
    (
        'kind = "bolts"\ngrade_least = "8.8"',
        'feet = [{ id = "MH foot A", bolts = 3, bolt = 8 }]',
        "Which grade stands on the heads of its bolts? At least 8.8 is asked.",
    ),
    (
        'kind = "padding"\nwithin = 300\nstandard = "FIA 8857-2001"',
        'near = { MH = 100 }\nbars = [{ id = "MH", padding = 20 }]',
        "Which standard is the padding marked with? The book has FIA 8857-2001.",
    ),
    ('kind = "removable joints"\nmost = 4', 'joints = [{ id = "J1" }]', "Which joints can be undone?"),
]


@pytest.mark.parametrize(("rule", "case", "question"), ASKED)
def test_the_question_is_printed_with_the_way_to_answer(rule, case, question):
    asked = [row for row in rows(rule, case) if row.verdict is Verdict.NOT_CHECKED]
    assert len(asked) == 1
    assert question in asked[0].todo
    assert "hoopwright rules answer PROJECT rule pass" in asked[0].todo


def test_the_books_own_question_goes_before_ours():
    rule = 'kind = "removable joints"\nmost = 4\nquestion = "Is each joint welded?"'
    (row,) = rows(rule, 'joints = [{ id = "J1" }]')
    assert row.todo == "Is each joint welded?"


def test_padding_that_nobody_measured_says_how_to_give_it():
    (row,) = rows('kind = "padding"\nwithin = 300', 'near = { MH = 100 }\nbars = [{ id = "MH" }]')
    assert row.verdict is Verdict.NOT_CHECKED
    assert "hoopwright measured PROJECT MH --value 'padding=...'" in row.todo
