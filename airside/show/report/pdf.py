"""A page of HTML as PDF by WeasyPrint, the optional extra ``report``; nothing is fetched."""

from __future__ import annotations

import hashlib
from typing import Any

from airside.errors import OutputError


def check_pdf() -> Any:
    """WeasyPrint, where it can be used.

    Raises
    ------
    OutputError
        It is not installed, or the libraries under it are not.
    """
    try:
        import weasyprint
    except (ImportError, OSError) as error:
        # OSError: WeasyPrint is there, but Pango is not.
        lacks = "the library Pango" if isinstance(error, OSError) else "WeasyPrint"
        raise OutputError(
            f"a report as PDF needs {lacks}, which is not here: run pip install 'airside[report]' and, on Debian, "
            "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; or name an .html file and print it from a "
            "browser."
        ) from None
    return weasyprint


def pdf_bytes(page: str) -> bytes:
    """The PDF of a self-contained page; the same page gives the same bytes.

    Parameters
    ----------
    page : str
        HTML.

    Raises
    ------
    OutputError
        As `check_pdf`.
    """
    weasyprint = check_pdf()
    # No protocol is allowed: the page is self-contained, and nothing is fetched.
    fetcher = weasyprint.urls.URLFetcher(allowed_protocols=())
    document = weasyprint.HTML(string=page, url_fetcher=fetcher)
    identifier = hashlib.sha256(page.encode()).hexdigest()[:32].encode()
    written: bytes = document.write_pdf(pdf_identifier=identifier, pdf_tags=True)
    return written
