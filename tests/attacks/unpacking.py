"""Everything that can be read out of an answer: packed files, their headers and their footers."""

import io
import zipfile
from collections.abc import Iterator

import pyarrow.parquet as pq

from tests.attacks.scene import Answer

ZIP, PARQUET = b"PK\x03\x04", b"PAR1"


def texts_of(answer: Answer) -> Iterator[bytes]:
    """Yield the headers and the body of an answer, unpacked as far as it goes."""
    yield "\n".join(f"{name}: {value}" for name, value in answer.headers.items()).encode()
    yield from unpacked(answer.body)


def unpacked(content: bytes) -> Iterator[bytes]:
    """Yield bytes, and what they hold if they are an archive or a Parquet file."""
    yield content
    if content.startswith(ZIP):
        with zipfile.ZipFile(io.BytesIO(content)) as files:
            yield files.comment
            for entry in files.infolist():
                yield entry.filename.encode() + entry.comment + entry.extra
                yield from unpacked(files.read(entry))
    elif content.startswith(PARQUET):
        yield from _of_parquet(content)


def _of_parquet(content: bytes) -> Iterator[bytes]:
    file = pq.ParquetFile(io.BytesIO(content))
    yield repr(file.metadata.to_dict()).encode()  # row groups with their statistics
    yield repr(file.schema_arrow.metadata).encode()
    yield repr(file.read().to_pylist()).encode()
