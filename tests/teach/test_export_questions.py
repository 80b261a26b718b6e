"""The question bank: a package in the structure of QTI 2.1 whose items judge as the exercises do, and whose text is text."""

import io
import math
import xml.etree.ElementTree as ET
import zipfile
from dataclasses import replace

import pytest
from qti_structure import ELEMENTS, MANIFEST, PACKAGING, QTI, check_structure

from airside.errors import AirsideError, OutputError
from airside.teach.drawing import draw
from airside.teach.exports.qti_item import item_xml
from airside.teach.exports.question_bank import question_bank, write_question_bank
from airside.teach.judging import judge
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import read_lesson
from airside.units import from_inside

NAMES = {"q": QTI}
EVIL = "</prompt><script>alert(1)</script>]]> \"'& &amp; \x00\x0b\ufffe \u202e"


def items_of(data):
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {n: ET.fromstring(archive.read(n)) for n in archive.namelist()}


@pytest.fixture
def lesson(folder):
    return read_lesson(folder)


def test_the_package_is_whole(lesson):
    content = items_of(question_bank(lesson, 3))
    manifest = content.pop("imsmanifest.xml")
    check_structure(manifest, PACKAGING, MANIFEST)
    assert manifest.findtext(f"{{{PACKAGING}}}metadata/{{{PACKAGING}}}schema") == "QTIv2.1 Package"
    resources = manifest.findall(f".//{{{PACKAGING}}}resource")
    assert {r.attrib["href"] for r in resources} == set(content)
    assert {r.attrib["type"] for r in resources} == {"imsqti_item_xmlv2p1"}
    names = [r.attrib["identifier"] for r in resources]
    assert len(set(names)) == len(names)
    for resource in resources:
        assert [f.attrib["href"] for f in resource] == [resource.attrib["href"]]
    for root in content.values():
        check_structure(root, QTI, ELEMENTS)
    # Five kinds, three draws each; none twice.
    assert 11 <= len(content) <= 15
    identifiers = {r.attrib["identifier"] for r in content.values()}
    assert len(identifiers) == len(content)


@pytest.mark.parametrize("name", sorted(QUESTION_KINDS))
def test_every_kind_has_the_structure_and_judges_as_the_exercise(name):
    kind = QUESTION_KINDS[name]
    for units in kind.systems:
        question = draw(kind, 3, units)
        root = ET.fromstring(item_xml(question))
        seen = check_structure(root, QTI, ELEMENTS)
        assert ("choiceInteraction" if kind.options else "textEntryInteraction") in seen
        assert root.attrib["adaptive"] == root.attrib["timeDependent"] == "false"
        declared = {d.attrib["identifier"] for d in root.findall("q:outcomeDeclaration", NAMES)}
        said = {f.attrib["identifier"]: "".join(f.itertext()).strip() for f in root.findall("q:modalFeedback", NAMES)}
        assert (
            {f.attrib["outcomeIdentifier"] for f in root.findall("q:modalFeedback", NAMES)} == {"FEEDBACK"} <= declared
        )
        (response,) = root.findall("q:responseDeclaration", NAMES)
        if kind.options:
            assert response.attrib["baseType"] == "identifier"
            choices = [c.attrib["identifier"] for c in root.iter(f"{{{QTI}}}simpleChoice")]
            assert len(choices) == len(set(choices)) == len(kind.options)
            for index, choice in enumerate(choices):
                score, feedback = processed(root, choice)
                found = judge(question, str(index + 1))
                assert (score == 1.0) == (found.outcome == "right")
                assert said[feedback] == found.says
            continue
        assert response.attrib["baseType"] == "float"
        right = float(from_inside(question.answer, kind.kind, question.units))
        assert processed(root, right) == (1.0, "RIGHT")
        for slip, value in question.slips:
            score, feedback = processed(root, float(from_inside(value, kind.kind, question.units)))
            assert score == 0.0 and said[feedback] == slip.says
        assert processed(root, math.inf) == (0.0, "NOT_YET")
        assert said["NOT_YET"].startswith("Not yet.")


def processed(root, response):
    """Score and feedback of a response by the item's own rules."""
    (declaration,) = root.findall("q:responseDeclaration", NAMES)
    correct = declaration.findtext("q:correctResponse/q:value", namespaces=NAMES)
    outcome = {"SCORE": 0.0, "FEEDBACK": None}

    def value(element):
        kind = element.tag.split("}")[1]
        if kind == "variable":
            return response
        text = correct if kind == "correct" else element.text
        return float(text) if isinstance(response, float) else text

    def holds(element):
        one, other = (value(e) for e in element)
        if element.tag.endswith("}match"):
            return one == other
        assert element.attrib["toleranceMode"] == "absolute"
        below, above = (float(t) for t in element.attrib["tolerance"].split())
        return other - below <= one <= other + above

    def run(rules):
        for rule in rules:
            if rule.tag.endswith("}setOutcomeValue"):
                (given,) = rule
                is_number = given.attrib.get("baseType") == "float"
                found = float(given.text) if is_number else response if given.tag.endswith("}variable") else given.text
                outcome[rule.attrib["identifier"]] = found
            else:
                branch(rule)

    def branch(condition):
        for case in condition:
            if case.tag.endswith("}responseElse"):
                run(case)
                return
            test, *rules = case
            if holds(test):
                run(rules)
                return

    run(root.find("q:responseProcessing", NAMES))
    return outcome["SCORE"], outcome["FEEDBACK"]


def test_a_number_is_asked_for_with_its_unit():
    root = ET.fromstring(item_xml(draw(QUESTION_KINDS["humidity_ratio_at_altitude"], 3, "SI")))
    (line,) = [p for p in root.iter(f"{{{QTI}}}p") if p.find("q:textEntryInteraction", NAMES) is not None]
    assert line.text.strip() == "Your answer, a number in g/kg:" and line[0].tail.strip() == "g/kg"


def test_text_is_escaped_and_nothing_that_xml_forbids_is_left():
    kind = QUESTION_KINDS["will_the_duct_sweat"]
    evil = replace(
        kind, title=EVIL, ask=EVIL.replace("{", "").replace("}", ""), options=(EVIL, "No", "x"), because=(EVIL,) * 3
    )
    data = item_xml(draw(evil, 1, "IP"))
    root = ET.fromstring(data)
    check_structure(root, QTI, ELEMENTS)
    assert "<script>alert(1)</script>" in "".join(root.find(".//q:prompt", NAMES).itertext())
    assert not any(c in data.decode() for c in ("\x00", "\x0b", "\ufffe", "\u202e"))


def test_the_same_bytes_each_time_without_times(lesson):
    first, again = question_bank(lesson, 2), question_bank(lesson, 2)
    assert first == again
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert archive.namelist()[0] == "imsmanifest.xml" and archive.testzip() is None
        for entry in archive.infolist():
            assert entry.date_time == (1980, 1, 1, 0, 0, 0) and entry.create_system == 3
            assert not entry.filename.startswith("/") and ".." not in entry.filename
    assert question_bank(lesson, 2, "SI") != first


def test_a_title_in_the_manifest_ends_no_comment(lesson):
    head = lesson.head.model_copy(update={"title": "a --> <x/> -"})
    root = items_of(question_bank(replace(lesson, head=head), 1))["imsmanifest.xml"]
    check_structure(root, PACKAGING, MANIFEST)


def test_files(folder, tmp_path):
    place = write_question_bank(folder, variants=1)
    assert place == folder.parent / "10_damp_questions.zip"
    with pytest.raises(OutputError, match="exists already"):
        write_question_bank(folder, variants=2)
    write_question_bank(folder, variants=2, force=True)
    with pytest.raises(OutputError, match=r"expected .zip"):
        write_question_bank(folder, tmp_path / "x.xml")
    with pytest.raises(AirsideError, match="variants: found 0; expected 1 to 100"):
        write_question_bank(folder, tmp_path / "y.zip", variants=0)
