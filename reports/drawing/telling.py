"""What a PDF says of itself beside its pages: XMP metadata, colour space, how a viewer names and reads it."""

from datetime import datetime
from typing import Any
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfdoc

from reports.drawing import srgb
from reports.drawing.filing import Raw

# ISO 16684-1; the marks about the packet are fixed by it.
PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{subject}</rdf:li></rdf:Alt></dc:description>
<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
<xmp:CreateDate>{made}</xmp:CreateDate>
<xmp:ModifyDate>{made}</xmp:ModifyDate>
<xmp:CreatorTool>{tool}</xmp:CreatorTool>
<pdf:Producer>{tool}</pdf:Producer>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""


def tell(document: Any, told: dict[str, str], made: datetime, tree: Any) -> None:
    """Write all of it into the document's catalog. told: title, author, subject, language and tool."""
    catalog = document.Catalog
    # ReportLab's catalog writes the entries that it knows by name; the colour space is none of them.
    catalog.__NoDefault__ = [*catalog.__NoDefault__, "OutputIntents"]
    catalog.Metadata = document.Reference(_metadata(told, made))
    catalog.OutputIntents = pdfdoc.PDFArray([_output_intent(document)])
    catalog.MarkInfo = pdfdoc.PDFDictionary({"Marked": "true"})
    catalog.ViewerPreferences = pdfdoc.PDFDictionary({"DisplayDocTitle": "true"})
    catalog.StructTreeRoot = tree


def _metadata(told: dict[str, str], made: datetime) -> Any:
    values = {name: escape(value) for name, value in told.items()}
    moment = made.replace(microsecond=0).isoformat()
    packet = PACKET.format(made=moment, **values).encode("utf-8")
    # In clear and without a filter, so that a search finds it (ISO 32000-2, 14.3.2).
    return Raw(b"<</Type/Metadata/Subtype/XML/Length %d>>\nstream\n%b\nendstream" % (len(packet), packet))


def _output_intent(document: Any) -> Any:
    profile = pdfdoc.PDFStream(
        content=srgb.profile(),
        dictionary=pdfdoc.PDFDictionary({"N": 3, "Alternate": "/DeviceRGB"}),
    )
    profile.filters = [pdfdoc.PDFZCompress]
    return pdfdoc.PDFDictionary(
        {
            "Type": "/OutputIntent",
            "S": "/GTS_PDFA1",
            "OutputConditionIdentifier": pdfdoc.PDFString("sRGB"),
            "Info": pdfdoc.PDFString("sRGB, IEC 61966-2-1"),
            "DestOutputProfile": document.Reference(profile),
        }
    )
