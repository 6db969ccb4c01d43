"""The HTML report stands alone, can be listened to, and takes any text a person writes."""

from __future__ import annotations

import re
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.reports.content import Head, Quiet, Report, Section, Strong, Table, TableRow, words
from halfdrop.reports.html import html
from halfdrop.reports.page import report_on
from tests.reports.pages import VINEGAR, answer_to, hydroxide, vinegar

NASTY = "<script>alert('x')</script> & \"quotes\" #eval [x] $T$ \\u{0} </style>"


@cache
def page() -> str:
    """Return the report with all there can be."""
    return html(report_on(vinegar()))


class Elements(HTMLParser):
    """Gathers the elements of a page, and complains of one that is not closed."""

    EMPTY = frozenset({"meta", "line", "rect", "path", "mspace"})

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element and that it is open."""
        self.found.append((tag, dict(attrs)))
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element that closes itself."""
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """Hold the end of an element against the last one opened."""
        if tag not in self.EMPTY:
            assert self.open.pop() == tag

    def of(self, tag: str) -> list[dict[str, str | None]]:
        """Return the attributes of all elements of a kind."""
        return [attributes for name, attributes in self.found if name == tag]


def test_every_element_is_closed() -> None:
    assert Elements(page()).open == []


def test_the_page_says_its_language_and_its_title() -> None:
    found = Elements(page())

    assert found.of("html") == [{"lang": "en"}]
    assert "<title>wine vinegar, bottle 3: Acetic acid in vinegar</title>" in page()


def test_every_table_has_a_caption_and_heads_with_scope() -> None:
    found = Elements(page())

    assert len(found.of("caption")) == len(found.of("table")) > 6
    assert {one.get("scope") for one in found.of("th")} == {"col", "row"}


def test_every_drawing_says_what_it_shows() -> None:
    drawings = Elements(page()).of("svg")

    assert len(drawings) == len(Elements(page()).of("figure")) >= 4
    assert all(one["role"] == "img" and len(one["aria-label"] or "") > 20 for one in drawings)


def test_formulas_are_maths_with_words() -> None:
    formulas = Elements(page()).of("math")

    assert len(formulas) > 40
    assert all(one["aria-label"] for one in formulas)


def test_nothing_is_fetched_and_nothing_is_run() -> None:
    found = Elements(page())

    assert "http" not in page()
    assert "@import" not in page()
    assert set(re.findall(r"url\((\w+):", page())) == {"data"}
    assert not {"script", "link", "img", "iframe", "object"} & {tag for tag, _ in found.found}
    assert not any(name.startswith("on") for _, attributes in found.found for name in attributes)


def test_the_result_is_the_first_number() -> None:
    assert page().index('class="value"') < page().index("<table")
    assert f'<span class="value">{vinegar().expanded.value}</span>' in page()


def test_the_headings_go_down_one_step_at_a_time() -> None:
    levels = [int(tag[1]) for tag, _ in Elements(page()).found if re.fullmatch("h[1-6]", tag)]

    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_no_two_elements_have_one_name() -> None:
    names = [attributes["id"] for _, attributes in Elements(page()).found if "id" in attributes]

    assert len(names) == len(set(names))


def test_text_of_a_person_stays_text() -> None:
    quoted = NASTY.replace("\\", "\\\\").replace('"', '\\"')
    answer = answer_to(VINEGAR.replace("wine vinegar, bottle 3", quoted).replace("R. Osei", quoted))

    found = Elements(html(report_on(answer)))

    assert found.open == []
    assert found.of("script") == []


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=40))
def test_any_text_is_shown_and_none_is_markup(text: str) -> None:
    table = Table(
        words(Strong(text)),
        (Head(words(text), text), Head((), numeric=True)),
        (TableRow((words(text), words(text))),),
    )
    section = Section(text, (table,))
    whole = html(Report(text, Quiet(text).text, ((text, text),), (), (section,), text, text))

    assert {tag for tag, _ in Elements(whole).found} <= {
        "html", "head", "meta", "title", "style", "body", "main", "header", "h1", "p", "dl", "div", "dt",
        "dd", "section", "h2", "table", "caption", "span", "strong", "thead", "tr", "th", "tbody", "td",
        "footer",
    }  # fmt: skip


@pytest.mark.parametrize("name", ["page", "hydroxide"])
def test_the_same_data_give_the_same_page(name: str) -> None:
    answer = vinegar() if name == "page" else hydroxide()

    assert html(report_on(answer)) == html(report_on(answer))
