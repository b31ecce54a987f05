"""A form with one file, in the part named ``file``."""

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler

from api.errors import Problem


class OneFile(FileUploadHandler):
    """Take the part named ``file`` and refuse any other; a subclass says where its bytes go."""

    def __init__(self) -> None:
        super().__init__()
        self.parts = 0

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Take note of a file.

        Raises
        ------
        Problem
            If it is a second one, or in another part.
        """
        super().new_file(*args, **kwargs)
        self.parts += 1
        if self.field_name != "file" or self.parts > 1:
            code = "parameter-wrong"
            raise Problem(code, "Send one file, in the part named 'file'.", parameter="file")

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the parser that reads the form."""
        del file_size
