"""A question bank as a content package of 1EdTech QTI 2.1: item files and a manifest in a ZIP, the same bytes each time.

Sources
-------
1EdTech (IMS) Question and Test Interoperability 2.1 (2012), Integration Guide: packaging with IMS Content Packaging 1.1
and 1.2; namespaces and types of resource are from memory.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterable, Mapping
from io import BytesIO
from pathlib import Path

from airside.errors import AirsideError, OutputError
from airside.files import check_free, write_whole
from airside.show.printable import printable
from airside.teach.drawing import Question
from airside.teach.exports.asked import asked_of, beside, usable_lesson
from airside.teach.exports.qti_item import INSTANCE, identifier_of, item_xml, xml_bytes
from airside.teach.lesson import Lesson
from airside.units import UnitSystem

PACKAGING = "http://www.imsglobal.org/xsd/imscp_v1p1"
PACKAGING_SCHEMA = "http://www.imsglobal.org/xsd/qti/qtiv2p1/qtiv2p1_imscpv1p2_v1p0.xsd"
ITEM_TYPE = "imsqti_item_xmlv2p1"
MANIFEST = "imsmanifest.xml"
# The first moment that a ZIP can hold: no file has a time of its own.
NO_TIME = (1980, 1, 1, 0, 0, 0)
MOST_VARIANTS = 100


def question_bank(lesson: Lesson, variants: int = 5, units: UnitSystem | None = None) -> bytes:
    """The exercises of a lesson as a content package.

    Parameters
    ----------
    lesson : Lesson
    variants : int
        How often each is drawn, with the numbers of students 1, 2, 3 …
    units : "IP" or "SI", optional
        Default: the lesson's.

    Returns
    -------
    bytes
        Of the ZIP.

    Raises
    ------
    LessonError
        The lesson asks nothing, or a question cannot be drawn.
    AirsideError
        A number of variants that is not from 1 to 100.
    """
    if not 1 <= variants <= MOST_VARIANTS:
        raise AirsideError(f"variants: found {variants}; expected 1 to {MOST_VARIANTS}.")
    drawn = [one.question for student in range(1, variants + 1) for one in asked_of(lesson, student, units)]
    return package(lesson, _different(drawn))


def _different(questions: Iterable[Question]) -> list[Question]:
    """Questions that differ in what they ask: a kind without numbers comes once."""
    seen: dict[tuple[str, str], Question] = {}
    for question in questions:
        seen.setdefault((question.kind.name, question.text), question)
    return sorted(seen.values(), key=identifier_of)


def package(lesson: Lesson, questions: Iterable[Question]) -> bytes:
    """Questions in a content package."""
    items = {f"items/{identifier_of(q)}.xml": item_xml(q) for q in questions}
    return zipped({MANIFEST: manifest_xml(lesson, items), **items})


def manifest_xml(lesson: Lesson, items: Mapping[str, bytes]) -> bytes:
    """The manifest of a package: a resource for each item file."""
    name = f"lesson-{lesson.head.number}"
    root = ET.Element("manifest", {
        "xmlns": PACKAGING, "xmlns:xsi": INSTANCE, "xsi:schemaLocation": f"{PACKAGING} {PACKAGING_SCHEMA}",
        "identifier": f"MANIFEST-{name}",
    })  # fmt: skip
    # Only comments say which lesson it was: the metadata of packaging has no plain title.
    title = printable(f"Lesson {lesson.head.number}: {lesson.head.title}").replace("-", "\N{NON-BREAKING HYPHEN}")
    root.append(ET.Comment(f" {title}. The places in it are invented. "))
    metadata = ET.SubElement(root, "metadata")
    ET.SubElement(metadata, "schema").text = "QTIv2.1 Package"
    ET.SubElement(metadata, "schemaversion").text = "1.0.0"
    ET.SubElement(root, "organizations")
    resources = ET.SubElement(root, "resources")
    for place in items:
        made = ET.SubElement(resources, "resource", {
            "identifier": f"RES-{Path(place).stem}", "type": ITEM_TYPE, "href": place,
        })  # fmt: skip
        ET.SubElement(made, "file", {"href": place})
    return xml_bytes(root)


def zipped(content: Mapping[str, bytes]) -> bytes:
    """Files as a ZIP in their order, without times, stored as they are: the same content, the same bytes."""
    held = BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_STORED) as archive:
        for name, data in content.items():
            entry = zipfile.ZipInfo(name, NO_TIME)
            # As made on a Unix system, so that the bytes do not tell where; a plain file that all may read.
            entry.create_system, entry.external_attr = 3, 0o100644 << 16
            archive.writestr(entry, data)
    return held.getvalue()


def write_question_bank(
    folder: str | Path,
    out: str | Path | None = None,
    *,
    variants: int = 5,
    units: UnitSystem | None = None,
    force: bool = False,
) -> Path:
    """Write the question bank of a lesson.

    Parameters
    ----------
    folder : str or Path
        The lesson's folder.
    out : str or Path, optional
        A ``.zip`` file; default: beside the lesson's folder.
    variants, units : as `question_bank`
    force : bool
        Replace a file that exists.

    Raises
    ------
    LessonError, AirsideError
        As `question_bank`.
    OutputError
        The file exists already, has another ending, or cannot be written.
    """
    lesson = usable_lesson(folder)
    target = beside(lesson, out, "_questions.zip")
    if target.suffix.lower() != ".zip":
        raise OutputError(f"{target}: the name ends in {target.suffix or 'nothing'}; expected .zip.")
    check_free(target, force=force)
    return write_whole(target, question_bank(lesson, variants, units), force=force)
