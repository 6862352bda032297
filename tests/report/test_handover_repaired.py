"""What was repaired, as the document to give away tells it."""

from __future__ import annotations

from datetime import date
from html.parser import HTMLParser

from layouts import change, house_from
from layouts.records import House
from sim.parts import builtin_parts
from sim.report.handover import handover_of
from sim.report.handover.facts import Subject
from sim.report.handover.page import handover_html
from sim.report.handover.repaired import cuts_said, repaired_rows

EVIL = "<script>alert('x')</script> {{7*7}}"


def house(*history: tuple[str, str], missing: tuple[int, ...] = ()) -> House:
    """60 pixels in a metre, from x = 1 m at 3 m up."""
    return house_from(
        {
            "format": "evenfall-house/1",
            "name": "Mended",
            "units": "m",
            "drawing": {"size": [4, 4]},
            "runs": [
                {
                    **{"name": "left gable", "pixels": "sk6812", "path": [[1, 3], [2, 3]]},
                    **{"count": 60, "missing": list(missing)},
                }
            ],
            "history": [{"date": when, "what": what} for when, what in history],
        }
    )


def test_date_what_and_where() -> None:
    found = list(
        repaired_rows(
            house(
                ("2026-12-24", "replaced left gable[30:42]"),
                ("2026-01-05", "cut out left gable[0], left gable[6]"),
                missing=(0, 6),
            )
        )
    )
    # the middle of pixel k of 60 in a metre is (k + 0.5) / 60 m along: 0.5/60, 6.5/60, 30.5/60
    # and 41.5/60; the first of them at x = 1.008, 1.108, 1.508 m
    assert found == [
        (
            "2026-01-05",
            "cut out left gable[0], left gable[6]",
            "0.008 m along left gable, at 1.008 m, 3 m of the drawing;"
            " 0.108 m along left gable, at 1.108 m, 3 m of the drawing",
        ),
        (
            "2026-12-24",
            "replaced left gable[30:42]",
            "0.508 m to 0.692 m along left gable, at 1.508 m, 3 m of the drawing",
        ),
    ]


def test_what_no_line_tells_of_is_told_too() -> None:
    (first, second) = repaired_rows(
        house(("2026-01-05", "cut out left gable[0]"), missing=(0, 6, 7))
    )
    assert first[1] == "cut out left gable[0]"
    assert second[:2] == ("–", "cut out left gable[6:8]; the history does not say when")


def test_lines_written_by_hand_stay_as_they_are() -> None:
    lines = ("new supply", "cut out of sorts[", "replaced porch[3]", "cut out left gable[99]", EVIL)
    found = list(repaired_rows(house(*(("2026-02-01", line) for line in lines))))
    assert [row[1:] for row in found] == [(line, "–") for line in lines]


def test_fault_finding_says_where_the_plus_stays_open() -> None:
    assert cuts_said(house()) == ""
    said = cuts_said(change(house(), runs={"left gable": {"cuts": [20, 40]}}))
    assert "cut before left gable[20], left gable[40]: there a repair joins − and data" in said


def test_the_document_has_it_escaped_or_not_at_all() -> None:
    def page(of: House) -> str:
        return handover_html(handover_of(of, builtin_parts(), Subject(date(2026, 3, 1))))

    class Texts(HTMLParser):
        tags: list[str]
        said: str

        def handle_starttag(self, tag: str, attrs: object) -> None:
            self.tags.append(tag)

        def handle_data(self, data: str) -> None:
            self.said += data

    parser = Texts()
    parser.tags, parser.said = [], ""
    parser.feed(page(house(("2026-01-05", "cut out left gable[6]"), ("2026-02-01", EVIL))))
    assert "What was repaired" in parser.said
    assert "cut out left gable[6]" in parser.said
    assert EVIL in parser.said
    assert "script" not in parser.tags
    assert "What was repaired" not in page(house())
