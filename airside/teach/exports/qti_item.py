"""One question as an item of 1EdTech QTI 2.1: data alone, every text escaped by the XML library.

A question with options is a choiceInteraction, one that asks for a number a textEntryInteraction whose response is a
float, judged with an absolute tolerance. What the exercise says of a slip is the item's feedback.

Sources
-------
1EdTech (IMS) Question and Test Interoperability 2.1 (2012), Assessment Test, Section, and Item Information Model; XML
binding imsqti_v2p1.xsd. Names, attributes and the order of elements are from memory.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable

from airside import __version__
from airside.show.printable import printable
from airside.teach.drawing import WHOLE, Question, slip_width
from airside.units import difference_from_inside, from_inside

NAMESPACE = "http://www.imsglobal.org/xsd/imsqti_v2p1"
SCHEMA = "http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd"
INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
RESPONSE, SCORE, FEEDBACK = "RESPONSE", "SCORE", "FEEDBACK"
RIGHT, NOT_YET = "RIGHT", "NOT_YET"
# Digits of an answer, and of its tolerance: more than any tolerance needs.
DIGITS = 8


def identifier_of(question: Question) -> str:
    """Name of an item: kind, units and seed; it begins with a letter and holds no space."""
    return f"{question.kind.name}-{question.units}-{question.seed:05d}"


def item_xml(question: Question) -> bytes:
    """A question as the bytes of an item file.

    Parameters
    ----------
    question : Question
    """
    root = ET.Element("assessmentItem", {
        "xmlns": NAMESPACE, "xmlns:xsi": INSTANCE, "xsi:schemaLocation": f"{NAMESPACE} {SCHEMA}",
        "identifier": identifier_of(question), "title": printable(question.kind.title), "adaptive": "false",
        "timeDependent": "false", "xml:lang": "en", "toolName": "airside", "toolVersion": __version__,
    })  # fmt: skip
    says = _choice(root, question) if question.kind.options else _number(root, question)
    for name, text in says:
        feedback = ET.SubElement(root, "modalFeedback", {
            "outcomeIdentifier": FEEDBACK, "showHide": "show", "identifier": name,
        })  # fmt: skip
        _text(feedback, "p", text)
    return xml_bytes(root)


def xml_bytes(root: ET.Element) -> bytes:
    """An element as the bytes of a file, indented."""
    ET.indent(root)
    body: bytes = ET.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body + b"\n"


def _text(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    made = ET.SubElement(parent, tag, attributes)
    made.text = printable(text)
    return made


def _value(parent: ET.Element, base: str, value: str) -> None:
    _text(parent, "baseValue", value, baseType=base)


def _variable(parent: ET.Element, name: str) -> None:
    ET.SubElement(parent, "variable", {"identifier": name})


def _declare(root: ET.Element, base: str, right: str) -> None:
    """The response with its right answer, then the outcomes: score, and which feedback is shown."""
    response = ET.SubElement(root, "responseDeclaration", {
        "identifier": RESPONSE, "cardinality": "single", "baseType": base,
    })  # fmt: skip
    _text(ET.SubElement(response, "correctResponse"), "value", right)
    score = ET.SubElement(root, "outcomeDeclaration", {
        "identifier": SCORE, "cardinality": "single", "baseType": "float",
    })  # fmt: skip
    _text(ET.SubElement(score, "defaultValue"), "value", "0")
    ET.SubElement(root, "outcomeDeclaration", {
        "identifier": FEEDBACK, "cardinality": "single", "baseType": "identifier",
    })  # fmt: skip


def _set(parent: ET.Element, outcome: str, base: str, value: str) -> None:
    _value(ET.SubElement(parent, "setOutcomeValue", {"identifier": outcome}), base, value)


# -- a question with options ---------------------------------------------------------------------------


def _option(index: int) -> str:
    return f"OPTION_{index + 1}"


def _choice(root: ET.Element, question: Question) -> Iterable[tuple[str, str]]:
    kind, right = question.kind, _option(round(question.answer))
    _declare(root, "identifier", right)
    interaction = ET.SubElement(ET.SubElement(root, "itemBody"), "choiceInteraction", {
        "responseIdentifier": RESPONSE, "shuffle": "false", "maxChoices": "1",
    })  # fmt: skip
    _text(interaction, "prompt", question.text)
    for index, option in enumerate(kind.options):
        _text(interaction, "simpleChoice", option, identifier=_option(index))
    processing = ET.SubElement(root, "responseProcessing")
    condition = ET.SubElement(processing, "responseCondition")
    if_right = ET.SubElement(condition, "responseIf")
    match = ET.SubElement(if_right, "match")
    _variable(match, RESPONSE)
    ET.SubElement(match, "correct", {"identifier": RESPONSE})
    _set(if_right, SCORE, "float", "1")
    # Each option has its own sentence, under its own name.
    _variable(ET.SubElement(processing, "setOutcomeValue", {"identifier": FEEDBACK}), RESPONSE)
    said = []
    for index, because in enumerate(kind.because):
        head = "Right." if _option(index) == right else "Not this one."
        said.append((_option(index), f"{head} {because}"))
    return said


# -- a question that asks for a number -------------------------------------------------------------------


def _shown(question: Question, value: float) -> str:
    return f"{float(from_inside(value, question.kind.kind, question.units)):.{DIGITS}g}"


def _width(question: Question, value: float) -> str:
    return f"{abs(float(difference_from_inside(value, question.kind.kind, question.units))):.{DIGITS}g}"


def _equal(parent: ET.Element, width: str) -> ET.Element:
    found = ET.SubElement(parent, "equal", {"toleranceMode": "absolute", "tolerance": f"{width} {width}"})
    _variable(found, RESPONSE)
    return found


def _number(root: ET.Element, question: Question) -> Iterable[tuple[str, str]]:
    _declare(root, "float", _shown(question, question.answer))
    body, unit = ET.SubElement(root, "itemBody"), question.unit
    _text(body, "p", question.text)
    line = _text(body, "p", f"Your answer, a number in {unit}: " if unit else "Your answer, a number without a unit: ")
    entry = ET.SubElement(line, "textEntryInteraction", {"responseIdentifier": RESPONSE, "expectedLength": "12"})
    if unit:
        entry.tail = f" {unit}"
    condition = ET.SubElement(ET.SubElement(root, "responseProcessing"), "responseCondition")
    if_right = ET.SubElement(condition, "responseIf")
    # What is counted comes whole, as the lesson judges it.
    wide = min(question.tolerance, WHOLE) if question.comes_whole and question.tolerance < 1 else question.tolerance
    ET.SubElement(_equal(if_right, _width(question, wide)), "correct", {"identifier": RESPONSE})
    _set(if_right, SCORE, "float", "1")
    _set(if_right, FEEDBACK, "identifier", RIGHT)
    said = [(RIGHT, f"Right: {question.shown(question.answer)}.")]
    for number, (slip, value) in enumerate(question.slips, start=1):
        name = f"SLIP_{number}"
        otherwise = ET.SubElement(condition, "responseElseIf")
        _value(_equal(otherwise, _width(question, slip_width(question, value))), "float", _shown(question, value))
        _set(otherwise, FEEDBACK, "identifier", name)
        said.append((name, slip.says))
    _set(ET.SubElement(condition, "responseElse"), FEEDBACK, "identifier", NOT_YET)
    hint = f" A hint: {question.kind.hints[0]}" if question.kind.hints else ""
    return [*said, (NOT_YET, f"Not yet.{hint}")]
