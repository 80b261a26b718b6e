"""What is wrong with a text that is not TOML, in an author's words, and on which line a key stands."""

from __future__ import annotations

import re
from tomllib import TOMLDecodeError

CURLY = re.compile("[“”„‟«»‘’]")
PAIR = re.compile(r"^\s*[\w.\"'-]+\s*=\s*(?P<value>.*)$")
PLAIN = re.compile(r"\[.*|\{.*|[+-]?[\d.].*|true\b.*|false\b.*|inf\b.*|nan\b.*|[\"'].*")


def toml_problem(error: TOMLDecodeError, text: str) -> tuple[int, str]:
    """Where a text stops being TOML, and what the author does about it.

    Parameters
    ----------
    error : tomllib.TOMLDecodeError
    text : str
        What was read.

    Returns
    -------
    int, str
        Line, counted from 0, and a sentence or two.
    """
    line, words = _place(str(error), text)
    lines = text.split("\n")
    here = lines[line] if line < len(lines) else ""
    return line, _sentence(here, words)


def _place(message: str, text: str) -> tuple[int, str]:
    """Line, counted from 0, and the parser's own words."""
    found = re.search(r"\s*\(at line (\d+), column \d+\)", message)
    if found:
        return int(found[1]) - 1, message[: found.start()].rstrip(".").lower()
    words = re.sub(r"\s*\(at end of document\)", "", message).rstrip(".").lower()
    return max(len(text.rstrip().split("\n")) - 1, 0), words


def _sentence(here: str, words: str) -> str:
    line = here.strip()
    shown = f"`{line}`" if len(line) <= 60 else f"`{line[:58]}…`"
    if found := CURLY.search(here):
        return f'found the quotation mark {found[0]} in {shown}. Write straight ones: "'
    if re.search("twice|overwrite|redefine|mutate", words):
        return f"what {shown} sets is set already further up. Keep one of the two."
    if "unclosed" in words and "string" not in words:
        what, end = ("table", "}") if "inline table" in words else ("list", "]")
        return (
            f"a {what} is not whole, here or on the line before. Put a comma between two entries, and {end} at its end."
        )
    if "invalid value" in words and "=" not in here and not re.match(r"[A-Za-z]", line):
        return f"a list is not whole: found {shown}. Put a comma between two entries, and ] at its end."
    if not line:
        return f"{words}. Texts stand in double quotes."
    if line.startswith('"') and (said := _of_text(line.rstrip(","))):
        return f"{said} in {shown}."
    if "=" not in here and not line.startswith("["):
        return f'found {shown}; expected a name, an = and a value, such as title = "…"'
    value = pair["value"].strip() if (pair := PAIR.match(here)) else None
    if value == "":
        return f"nothing stands after the = of {shown}."
    if value is not None and not PLAIN.fullmatch(value):
        return f"found {shown}. Texts stand in double quotes, numbers are digits with a point, such as 4 or 0.5."
    if value is not None and (said := _of_text(value)):
        return f"{said} in {shown}."
    if value is not None and re.match(r"[+-]?\d+,\d", value):
        return f"found a comma in the number of {shown}. Write a point."
    return f"{words}, in {shown}. Texts stand in double quotes, lists in [ ], numbers are digits with a point."


def _of_text(value: str) -> str:
    """What is wrong with a text of one line, to stand before where it is."""
    if not value.startswith('"') or value.startswith('"""'):
        return ""
    # A comment may hold anything.
    value = re.sub(r"\s#.*$", "", value)
    count = value.replace('\\"', "").count('"')
    if count % 2:
        return "the text has no closing quotation mark"
    if count > 2:
        return "double quotes stand inside a text; write single ones"
    return "a backslash stands in a text; write / or two backslashes" if "\\" in value else ""


def line_of_field(text: str, field: str) -> int:
    """Line, counted from 1, of a field such as ``before.airflow_fault``, or else of its table; 0 where neither is found."""
    table, best, depth = "", 0, 0
    for number, line in enumerate(text.split("\n"), start=1):
        if found := re.match(r"\s*\[\s*([^\[\]]+?)\s*\]\s*(#.*)?$", line):
            table = found[1].replace('"', "").replace(" ", "")
            name = table
        elif found := re.match(r"\s*([\w.\"-]+)\s*=", line):
            key = found[1].replace('"', "")
            name = f"{table}.{key}" if table else key
        else:
            continue
        # The deepest of the names that lead to the field.
        if (name == field or field.startswith(f"{name}.")) and len(name) > depth:
            best, depth = number, len(name)
    return best
