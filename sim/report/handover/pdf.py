"""The document as a PDF, set by WeasyPrint from the same page."""

from __future__ import annotations

from importlib.util import find_spec

NEEDED = (
    "a PDF needs WeasyPrint; install it with .venv/bin/pip install '.[pdf]', on Debian with"
    " its libraries libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0, or end the name in .html"
)


def can_pdf() -> bool:
    """Whether WeasyPrint and its libraries are there."""
    if find_spec("weasyprint") is None:
        return False
    try:
        import weasyprint  # noqa: F401
    except OSError:  # Pango is missing
        return False
    return True


def pdf_of(html: str) -> bytes:
    """The page as PDF. The same page gives the same text; nothing is fetched."""
    import logging

    from weasyprint import HTML

    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)
    data: bytes = HTML(string=html).write_pdf()
    return data
