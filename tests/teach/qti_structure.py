"""What the XML binding of QTI 2.1 and its packaging allow of the elements that are used here.

Written down from memory of imsqti_v2p1.xsd and imscp_v1p1.xsd: for each element its required and its further attributes,
and its children as a regular expression over their names, each followed by a space.
"""

import re

QTI = "http://www.imsglobal.org/xsd/imsqti_v2p1"
PACKAGING = "http://www.imsglobal.org/xsd/imscp_v1p1"
SCHEMA_LOCATION = "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
EXPRESSION = "(?:variable|correct|baseValue|match|equal|isNull|and|or|not|mapResponse) "
RULE = "(?:setOutcomeValue|responseCondition|exitResponse|lookupOutcomeValue) "
BLOCK = "(?:p|div|choiceInteraction|extendedTextInteraction|rubricBlock|ul|ol|table|pre|h[1-6]) "
# Required, optional, children; text is allowed where the last is true.
ELEMENTS = {
    "assessmentItem": (
        {"identifier", "title", "adaptive", "timeDependent"}, {SCHEMA_LOCATION, LANGUAGE, "label", "toolName", "toolVersion"},
        "(responseDeclaration )*(outcomeDeclaration )*(templateDeclaration )*(templateProcessing )?(stylesheet )*(itemBody )?"
        "(responseProcessing )?(modalFeedback )*", False,
    ),
    "responseDeclaration": ({"identifier", "cardinality"}, {"baseType"}, "(defaultValue )?(correctResponse )?(mapping )?(areaMapping )?", False),
    "outcomeDeclaration": (
        {"identifier", "cardinality"}, {"baseType", "view", "interpretation", "normalMaximum", "normalMinimum", "masteryValue"},
        "(defaultValue )?(matchTable |interpolationTable )?", False,
    ),
    "correctResponse": (set(), {"interpretation"}, "(value )+", False),
    "defaultValue": (set(), {"interpretation"}, "(value )+", False),
    "value": (set(), {"fieldIdentifier", "baseType"}, "", True),
    "itemBody": (set(), {"id", "class", LANGUAGE, "label"}, f"({BLOCK})*", False),
    "p": (set(), {"id", "class", LANGUAGE}, "(textEntryInteraction |inlineChoiceInteraction |span |em |strong |br )*", True),
    "choiceInteraction": (
        {"responseIdentifier", "shuffle", "maxChoices"}, {"minChoices", "orientation", "id", "class"}, "(prompt )?(simpleChoice )+", False,
    ),
    "prompt": (set(), {"id", "class"}, "(span |em |strong |br )*", True),
    "simpleChoice": ({"identifier"}, {"fixed", "templateIdentifier", "showHide"}, "(p |span |em |strong |br )*", True),
    "textEntryInteraction": (
        {"responseIdentifier"}, {"base", "stringIdentifier", "expectedLength", "patternMask", "placeholderText", "format"}, "", False,
    ),
    "responseProcessing": (set(), {"template", "templateLocation"}, f"({RULE})*", False),
    "responseCondition": (set(), set(), "responseIf (responseElseIf )*(responseElse )?", False),
    "responseIf": (set(), set(), f"{EXPRESSION}({RULE})*", False),
    "responseElseIf": (set(), set(), f"{EXPRESSION}({RULE})*", False),
    "responseElse": (set(), set(), f"({RULE})*", False),
    "setOutcomeValue": ({"identifier"}, set(), EXPRESSION, False),
    "match": (set(), set(), f"{EXPRESSION}{EXPRESSION}", False),
    "equal": ({"toleranceMode"}, {"tolerance", "includeLowerBound", "includeUpperBound"}, f"{EXPRESSION}{EXPRESSION}", False),
    "variable": ({"identifier"}, {"weightIdentifier"}, "", False),
    "correct": ({"identifier"}, set(), "", False),
    "baseValue": ({"baseType"}, set(), "", True),
    "modalFeedback": ({"outcomeIdentifier", "showHide", "identifier"}, {"title"}, "(p |div |ul |ol |span )*", True),
}  # fmt: skip
MANIFEST = {
    "manifest": ({"identifier"}, {SCHEMA_LOCATION, "version"}, "(metadata )?organizations resources (manifest )*", False),
    "metadata": (set(), set(), "(schema )?(schemaversion )?", False),
    "schema": (set(), set(), "", True), "schemaversion": (set(), set(), "", True),
    "organizations": (set(), {"default"}, "(organization )*", False),
    "resources": (set(), set(), "(resource )*", False),
    "resource": ({"identifier", "type"}, {"href"}, "(metadata )?(file )*(dependency )*", False),
    "file": ({"href"}, set(), "(metadata )?", False),
}  # fmt: skip
# NCName, of letters, digits and the signs that are used here.
IDENTIFIER = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*")
BASE_TYPES = {
    "identifier",
    "boolean",
    "integer",
    "float",
    "string",
    "point",
    "pair",
    "directedPair",
    "duration",
    "file",
    "uri",
}


def check_structure(root, namespace, allowed):
    """Every element has a known name, its attributes, and its children in their order."""
    seen = set()
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue
        assert element.tag.startswith(f"{{{namespace}}}"), element.tag
        name = element.tag.removeprefix(f"{{{namespace}}}")
        seen.add(name)
        assert name in allowed, name
        required, optional, children, has_text = allowed[name]
        assert required <= set(element.attrib) <= required | optional, (name, element.attrib)
        names = "".join(f"{c.tag.removeprefix(f'{{{namespace}}}')} " for c in element if isinstance(c.tag, str))
        assert re.fullmatch(children, names), (name, names)
        loose = (element.text or "") + "".join(c.tail or "" for c in element)
        assert has_text or not loose.strip(), (name, loose)
        for key in ("identifier", "responseIdentifier", "outcomeIdentifier"):
            if key in element.attrib:
                assert IDENTIFIER.fullmatch(element.attrib[key]), element.attrib[key]
        if "baseType" in element.attrib:
            assert element.attrib["baseType"] in BASE_TYPES
        if "cardinality" in element.attrib:
            assert element.attrib["cardinality"] in ("single", "multiple", "ordered", "record")
        if "showHide" in element.attrib:
            assert element.attrib["showHide"] in ("show", "hide")
    return seen
