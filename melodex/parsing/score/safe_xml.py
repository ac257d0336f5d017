"""Parse untrusted XML: entities are not expanded, and nothing outside the file is fetched."""

from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]

from melodex.errors import ScoreParseError


def parse_xml(content: bytes, shown: Path) -> Element:
    """Return the root element of an XML document.

    Raises
    ------
    ScoreParseError
        If the XML is malformed, or defines entities, which no score needs.
    """
    try:
        root: Element = fromstring(content, forbid_entities=True, forbid_external=True)
    except DefusedXmlException as error:
        reason = "its XML defines entities, which no score needs and which can hide an attack"
        raise ScoreParseError(shown, reason=reason) from error
    except ParseError as error:
        line, _ = error.position
        reason = "its XML is broken or cut off here"
        raise ScoreParseError(shown, reason=reason, line=line) from error
    except (LookupError, ValueError) as error:  # an encoding unknown to Python or expat
        raise ScoreParseError(shown, reason="its text encoding is unknown") from error
    return root
