"""The way through an archive: zip, descriptor, metadata, each data file once, then the whole."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from portal.checkarchive.bench import Bench
from portal.checkarchive.calendar_days import span_of
from portal.checkarchive.container import Container, Limits
from portal.checkarchive.descriptor import Descriptor, read_descriptor
from portal.checkarchive.file_inspection import FileInspection
from portal.checkarchive.ledger import Ledger
from portal.checkarchive.report import Report
from portal.checkarchive.subjects import DESCRIPTOR_FILE, Contents, Document, Whole
from portal.checkarchive.xml_reading import Node, XmlRefusedError, read_xml
from portal.checkarchive.yardstick import Yardstick


def inspect_archive(
    path: Path,
    yardstick: Yardstick | None = None,
    *,
    limits: Limits | None = None,
    findings_per_rule: int = 20,
) -> Report:
    """Return what is wrong with an archive.

    Raises
    ------
    UnreadableArchiveError
        If it is no zip, is damaged or encrypted, or is larger than the limits.
    """
    report = Report(findings_per_rule)
    with Container(path, limits or Limits()) as container, Ledger() as ledger:
        _inspect(Bench(container, ledger, report, yardstick or Yardstick()), path.name)
    return report


def _inspect(bench: Bench, name: str) -> None:
    root = _document(bench, DESCRIPTOR_FILE)
    descriptor = read_descriptor(root) if root else None
    bench.ask("zip", Contents(bench.container.names, descriptor), file=name)
    if descriptor is None:
        return
    bench.ask("descriptor", descriptor, bench.yardstick, file=DESCRIPTOR_FILE)
    metadata = _metadata(bench, descriptor)
    bench.core_type = descriptor.core_type
    for file in descriptor.files:
        for location in file.locations:
            if file.can_be_read and bench.container.holds(location):
                FileInspection(bench, file, location).run()
    if _knows_core(bench, descriptor):
        bench.ledger.close_books()
    whole = Whole(descriptor, metadata, bench.tally, bench.ledger)
    bench.ask("whole", whole, file=descriptor.metadata or DESCRIPTOR_FILE)


def _knows_core(bench: Bench, descriptor: Descriptor) -> bool:
    """Tell whether the ids of the core could be read, or there are none to refer to."""
    cores = [file for file in descriptor.files if file.is_core]
    return bool(cores) and all(
        file.can_be_read
        and all(map(bench.container.holds, file.locations))
        and (file.id_index is not None or len(descriptor.files) == 1)
        for file in cores
    )


def _metadata(bench: Bench, descriptor: Descriptor) -> Node | None:
    """Return the root of the metadata; its day of publication bounds the days of records."""
    if not descriptor.metadata:
        return None
    root = _document(bench, descriptor.metadata)
    if root:
        bench.ask("metadata", root, file=descriptor.metadata)
        if bench.yardstick.latest_on is None:
            bench.yardstick = replace(bench.yardstick, latest_on=_published_on(root))
    return root


def _document(bench: Bench, name: str) -> Node | None:
    document = Document(name, bench.container.holds(name))
    if document.is_there:
        try:
            document = replace(document, root=read_xml(bench.container.document(name)))
        except XmlRefusedError as refusal:
            document = replace(document, refusal=refusal)
    bench.ask("document", document, file=name)
    return document.root


def _published_on(metadata: Node) -> date | None:
    spans = (span_of(node.text.strip()) for node in metadata.all("dataset/pubDate"))
    return max((span.last_on for span in spans if span), default=None)
