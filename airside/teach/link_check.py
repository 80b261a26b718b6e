"""Links of a lesson: those beside it must lead somewhere; those into the world are looked at by their form only, never fetched."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import unquote, urlsplit

from airside.teach.lesson import LESSON_FILE, markdown_tokens


def links_of(markdown: str) -> Iterable[tuple[str, str, int]]:
    """Type ("link" or "image"), address and line, counted from 0, of each link of a Markdown text."""
    lines = markdown.split("\n")
    for token in markdown_tokens(markdown):
        if token.type != "inline" or token.map is None:
            continue
        for child in token.children or ():
            if child.type not in ("link_open", "image"):
                continue
            address = str(child.attrs.get("href" if child.type == "link_open" else "src", ""))
            first, last = token.map
            line = next((n for n in range(first, last) if unquote(address) in unquote(lines[n])), first)
            yield ("image" if child.type == "image" else "link"), address, line


def unlinked(markdown: str) -> Iterable[tuple[int, str]]:
    """Line, counted from 0, and text of what looks like a link and is none, such as one with an address that is not allowed."""
    lines = markdown.split("\n")
    for token in markdown_tokens(markdown):
        for child in token.children or ():
            found = re.search(r"\[[^\]]*\]\([^)]*\)?", child.content) if child.type == "text" else None
            if found and token.map is not None:
                first, last = token.map
                yield next((n for n in range(first, last) if found[0] in lines[n]), first), found[0]


def headings_of(markdown: str) -> Iterable[tuple[int, str, int]]:
    """Level, text and line, counted from 0, of each heading."""
    tokens = list(markdown_tokens(markdown))
    for at, token in enumerate(tokens):
        if token.type == "heading_open" and token.map is not None:
            yield int(token.tag[1]), tokens[at + 1].content, token.map[0]


def anchor(heading: str) -> str:
    """How a notebook calls the place of a heading."""
    return re.sub(r"[*_`]", "", heading).strip().replace(" ", "-")


def link_problem(address: str, place: Path, anchors: Iterable[str]) -> str:
    """What is wrong with a link that is followed from a notebook in a folder; empty where nothing is."""
    parts = urlsplit(address)
    if parts.scheme in ("http", "https"):
        good = re.fullmatch(r"[A-Za-z0-9.-]+(:\d+)?", parts.netloc) and "." in parts.netloc
        return "" if good else f'the link "{address}" has no host that could be one.'
    if parts.scheme == "mailto":
        return "" if re.fullmatch(r"[^@\s]+@[^@\s]+\.[^@\s]+", parts.path) else f'"{address}" is no mail address.'
    if parts.scheme or parts.netloc or address.startswith("/"):
        return (
            f'the link "{address}" leads to no place that every reader has. Use https:// or a path beside the notebook.'
        )
    if not parts.path:
        wanted = unquote(parts.fragment)
        if wanted in set(anchors):
            return ""
        return f'there is no heading "{wanted.replace("-", " ")}" in this lesson for the link "{address}".'
    target = place / unquote(parts.path)
    try:
        # A lesson that has not been built yet is known by its folder.
        there = target.exists() or (target.suffix == ".ipynb" and (target.with_suffix("") / LESSON_FILE).is_file())
    except OSError:
        there = False
    return "" if there else f'the link "{address}" leads nowhere: there is no {target.name} there.'
