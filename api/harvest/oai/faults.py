"""What the protocol calls an error: answered in XML, with HTTP status 200."""

from enum import StrEnum


class Code(StrEnum):
    """The error codes of the protocol."""

    BAD_ARGUMENT = "badArgument"
    BAD_RESUMPTION_TOKEN = "badResumptionToken"  # noqa: S105 -- a word of the protocol
    BAD_VERB = "badVerb"
    CANNOT_DISSEMINATE_FORMAT = "cannotDisseminateFormat"
    ID_DOES_NOT_EXIST = "idDoesNotExist"
    NO_METADATA_FORMATS = "noMetadataFormats"
    NO_RECORDS_MATCH = "noRecordsMatch"
    NO_SET_HIERARCHY = "noSetHierarchy"


class Fault(Exception):  # noqa: N818 -- reads as what happened
    """A request that has no other answer than an error of the protocol."""

    def __init__(self, code: Code, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message

    @property
    def hides_arguments(self) -> bool:
        """Return whether the answer may not repeat the arguments."""
        return self.code in {Code.BAD_ARGUMENT, Code.BAD_VERB}
