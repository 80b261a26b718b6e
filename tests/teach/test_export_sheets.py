"""Worksheets and their key: other numbers for each student, the key's answers are right, and text stays text."""

import zlib
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from airside.errors import AirsideError, OutputError
from airside.teach import kinds as all_kinds
from airside.teach.drawing import draw
from airside.teach.exercise_panel import is_fixed
from airside.teach.exports import asked as asked_module
from airside.teach.exports.asked import asked_of, seed_of, student_numbers
from airside.teach.exports.sheet_text import plain_markdown, printable, unbroken
from airside.teach.exports.worksheet import answer_key_html, worksheet_html, write_worksheet
from airside.teach.finding import LessonError
from airside.teach.judging import judge
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import parse_lesson, read_lesson
from airside.teach.marks import ExampleMark, QuestionMark
from airside.units import from_inside

LESSONS = Path(__file__).resolve().parents[2] / "notebooks" / "lessons"
EVIL = "</style><script>alert(1)</script> \"'> &lt;b&gt; {{ 7*7 }} {% raw %}"
ELEMENTS = {
    "html", "head", "meta", "title", "style", "body", "main", "section", "header", "article", "p", "h1", "h2", "b", "ol", "li",
    "span", "div", "table", "caption", "thead", "tbody", "tr", "th", "td",
}  # fmt: skip


class Page(HTMLParser):
    """Elements and visible words of a page."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.words = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data):
        if not self.elements or self.elements[-1][0] != "style":
            self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).replace("\xa0", " ").split())


@pytest.fixture
def lesson(folder):
    return read_lesson(folder)


def test_each_student_has_numbers_of_its_own(lesson):
    one, again, other = (worksheet_html(lesson, [s]) for s in (4, 4, 5))
    assert one == again != other
    texts = {a.question.text for s in range(1, 9) for a in asked_of(lesson, s)[:1]}
    assert len(texts) == 8
    assert worksheet_html(lesson, [4], "SI") != one


def test_a_seed_is_made_of_lesson_student_and_place(lesson):
    # crc32("10_damp|7|1|0") by zlib, shifted by one bit.
    assert seed_of("10_damp", 7, 1) == zlib.crc32(b"10_damp|7|1|0") >> 1
    assert [a.question.seed for a in asked_of(lesson, 7)] == [seed_of("10_damp", 7, n) for n in range(1, 6)]
    assert len({seed_of(k, s, n) for k in ("a", "b") for s in range(1, 200) for n in range(1, 12)}) == 2 * 199 * 11


def test_a_kind_that_is_asked_twice_has_two_sets_of_numbers(spoilt):
    folder, _ = spoilt(
        'kind = "dew_point_from_relative_humidity"\nseed = 12', 'kind = "humidity_ratio_at_altitude"\nseed = 12'
    )
    for student in range(1, 12):
        asked = asked_of(read_lesson(folder), student)
        assert asked[0].question.text != asked[1].question.text


def test_numbers_on_the_screen_do_not_come_again(lesson, monkeypatch):
    # Seeds as small as the lesson's own: each would repeat what stands on the screen.
    own = dict(zip(range(1, 6), (11, 12, 13, 14, 15), strict=True))
    monkeypatch.setattr(asked_module, "seed_of", lambda key, student, number, again=0: own[number] + 1000 * again)
    asked_module._of_class.cache_clear()
    seeds = [one.question.seed for one in asked_of(lesson, 1)]
    asked_module._of_class.cache_clear()
    assert seeds == [own[number] + 1000 for number in range(1, 6)]


@pytest.mark.parametrize("folder_name", sorted(p.name for p in LESSONS.iterdir() if p.is_dir()))
def test_no_two_of_a_class_are_alike_nor_like_the_screen(folder_name):
    lesson = read_lesson(LESSONS / folder_name)
    sheets = [asked_of(lesson, student) for student in range(1, 41)]
    assert len({tuple(one.question.text for one in sheet) for sheet in sheets}) == 40
    shown = {
        draw(QUESTION_KINDS[mark.kind], mark.seed, lesson.head.units).text
        for mark, _ in (*lesson.marks(QuestionMark), *lesson.marks(ExampleMark))
    }
    for place, one in enumerate(sheets[0]):
        texts = [sheet[place].question.text for sheet in sheets]
        if is_fixed(one.question.kind):
            continue
        assert not shown & set(texts)
        # A kind with few numbers has no more than it has; most have a set for each student.
        few = (
            {draw(one.question.kind, seed, one.question.units).text for seed in range(400)}
            if len(set(texts)) < 40
            else ()
        )
        assert len(set(texts)) == 40 or len(few) < 60


def test_a_sheet_is_the_same_whoever_else_gets_one(lesson):
    alone = [a.question.text for a in asked_of(lesson, 23)]
    asked_module._of_class.cache_clear()
    assert [[a.question.text for a in asked_of(lesson, s)] for s in (30, 23)][1] == alone


def test_the_sheet_has_every_question_and_no_answer(lesson):
    page = Page(worksheet_html(lesson, [1, 2]))
    for student in (1, 2):
        assert f"Student {student}" in page.text
        for one in asked_of(lesson, student):
            assert " ".join(one.question.text.split()) in page.text
            assert one.question.solution is not None
            for step in one.question.worked:
                assert step not in page.text
    assert sum(tag == "section" for tag, _ in page.elements) == 2
    # Sources stand with the tables alone.
    assert "slip" not in page.text and "Source" not in page.text.split("To look up")[0]


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_answers_of_the_key_are_right_and_its_slips_are_slips(lesson, units):
    page = Page(answer_key_html(lesson, [1, 2, 3], units))
    for student in (1, 2, 3):
        for one in asked_of(lesson, student, units):
            assert one.question.units == units
            assert (
                judge(
                    one.question, one.short_answer if not one.options else one.short_answer.partition(": ")[2]
                ).outcome
                == "right"
            )
            assert one.short_answer in page.text
            for step in one.steps if one.options else one.steps[:-1]:
                assert " ".join(step.split()) in page.text
            for value, says in one.slips:
                assert value in page.text and " ".join(says.split()) in page.text
                assert judge(one.question, value).outcome in ("slip", "unreadable")


def test_what_counts_as_right_is_what_the_judge_takes(lesson):
    for student in range(1, 6):
        for one in asked_of(lesson, student):
            if one.options:
                assert one.accepted == ("", "")
                continue
            q = one.question
            printed = [float(from_inside(end, q.kind.kind, q.units)) for end in q.accepted]
            assert one.accepted == (("", "") if printed[0] == printed[1] else tuple(q.shown(e) for e in q.accepted))
            # The ends as they are printed are right; one last decimal beyond them no answer is.
            step = 10.0**-q.decimals
            for value in (*printed, sum(printed) / 2 if q.decimals else printed[0]):
                assert judge(q, f"{value:.{q.decimals}f} {q.unit}".strip()).outcome == "right", (q.kind.name, value)
            if printed[0] < printed[1]:
                for value in (printed[0] - step, printed[1] + step):
                    assert judge(q, f"{value:.{q.decimals}f} {q.unit}".strip()).outcome != "right", (q.kind.name, value)


def test_a_count_has_one_right_answer_in_the_key():
    """Of things that are counted, 16 and 18 are wrong where 17 is right, in the key as in the lesson."""
    kind = QUESTION_KINDS["rows_missing_in_gaps"]
    q = next(q for q in (draw(kind, seed, "IP") for seed in range(100)) if 0.5 < q.tolerance < 1)
    assert q.comes_whole and q.accepted[0] == q.accepted[1] == pytest.approx(round(q.answer))
    assert judge(q, f"{round(q.answer)}").outcome == "right"
    assert judge(q, f"{round(q.answer) + 1}").outcome != "right"


def test_text_of_a_lesson_is_escaped(lesson):
    head = lesson.head.model_copy(update={"title": EVIL, "able": [EVIL], "sources": [EVIL]})
    for make in (worksheet_html, answer_key_html):
        text = make(replace(lesson, head=head), [1])
        page = Page(text)
        assert {tag for tag, _ in page.elements} <= ELEMENTS
        assert all(not name.startswith("on") for _, attributes in page.elements for name in attributes)
        assert "{{ 7*7 }}" in unescape(text) and "49" not in Page(text).text.split("Student")[0]
        assert " ".join(EVIL.split()) in page.text
        policy = [a["content"] for t, a in page.elements if t == "meta" and "http-equiv" in a]
        assert policy == ["default-src 'none'; style-src 'unsafe-inline'"]


def test_text_of_a_question_is_escaped(lesson, monkeypatch):
    kind = QUESTION_KINDS["will_the_duct_sweat"]
    evil = EVIL.replace("{{ 7*7 }} {% raw %}", "")
    spoilt = replace(
        kind, title=evil, ask=evil + "{dry_bulb}", options=(evil, "No", "x"), source=evil, because=(evil,) * 3
    )
    monkeypatch.setitem(all_kinds.QUESTION_KINDS, kind.name, spoilt)
    for make in (worksheet_html, answer_key_html):
        page = Page(make(lesson, [1]))
        assert {tag for tag, _ in page.elements} <= ELEMENTS
        assert " ".join(evil.split()) in page.text


def test_signs_that_a_page_cannot_show():
    assert printable("a\x00b\u202ec\x1b[0m") == "a\ufffdb\ufffdc\ufffd[0m"
    assert plain_markdown("1. *x* <b> $y$ [z](u) `c` & |") == r"1\. \*x\* \<b\> \$y\$ \[z\]\(u\) \`c\` &amp; \|"


def test_a_number_stays_with_its_unit():
    assert (
        unbroken("97.2 psi gauge at 9 L/s per kW, 5 inHgx, 3 of 4")
        == "97.2\xa0psi\xa0gauge at 9\xa0L/s\xa0per\xa0kW, 5 inHgx, 3 of 4"
    )


def test_student_numbers():
    assert student_numbers("1-3, 7,2") == (1, 2, 3, 7)
    for text in ("", "0", "3-1", "a", "1-", "1.5", "-3", "10000", "1;2"):
        with pytest.raises(AirsideError, match="expected numbers from 1 to 9,999, such as 1-24"):
            student_numbers(text)
    with pytest.raises(AirsideError, match="more than 200"):
        student_numbers("1-9999")


def test_files(folder, tmp_path):
    place = write_worksheet(folder, [1])
    assert place == folder.parent / "10_damp_worksheet.html"
    first = place.read_bytes()
    with pytest.raises(OutputError, match="exists already and is left as it is"):
        write_worksheet(folder, [2])
    assert place.read_bytes() == first
    write_worksheet(folder, [1], force=True)
    assert place.read_bytes() == first
    assert write_worksheet(folder, [1], key=True).name == "10_damp_answer_key.html"
    with pytest.raises(OutputError, match=r"the name ends in .pdf; expected .html"):
        write_worksheet(folder, [1], tmp_path / "x.pdf")


def test_a_lesson_that_cannot_be_used(spoilt, tmp_path):
    folder, line = spoilt('kind = "will_the_duct_sweat"', 'kind = "will_the_dog_sweat"')
    with pytest.raises(LessonError, match=f"line {line}: there is no question kind"):
        write_worksheet(folder, [1])
    assert not list(tmp_path.glob("*.html"))


def test_a_lesson_that_asks_nothing(lesson, folder):
    text = (folder / "lesson.md").read_text(encoding="utf-8")
    with pytest.raises(LessonError, match="nothing is asked here"):
        asked_of(parse_lesson(text.replace("airside question", "airside example"), folder), 1)


def test_a_kind_of_one_unit_system_is_asked_in_it(lesson, monkeypatch):
    kind = QUESTION_KINDS["humidity_ratio_at_altitude"]
    monkeypatch.setitem(all_kinds.QUESTION_KINDS, kind.name, replace(kind, systems=("IP",)))
    assert [a.question.units for a in asked_of(lesson, 1, "SI")] == ["IP", "SI", "SI", "SI", "SI"]


def test_a_choice_is_named_by_letter_and_words(lesson):
    one = next(a for a in asked_of(lesson, 3) if a.options)
    letter, words = one.options[round(one.question.answer)]
    assert one.short_answer == f"{letter}: {words}"
    assert f"Right: {letter}: {words}" in Page(answer_key_html(lesson, [3])).text
