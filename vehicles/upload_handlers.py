"""Files that are far too large: read to their end, as HTTP asks, and kept nowhere."""

from django.core.files.base import ContentFile
from django.core.files.uploadhandler import FileUploadHandler

# Above every limit of a form; a form states its own, smaller one.
LARGEST_BYTES = 64_000_000


class TooLarge(ContentFile):
    """Stands for the file in the form: its name and true size, and nothing inside."""

    def __init__(self, name, content_type, size):
        super().__init__(b"", name=name)
        self.content_type, self.size = content_type, size


class UpToLargest(FileUploadHandler):
    """Stands first in line: passes a file on until it is too large, then lets the rest run out."""

    def new_file(self, *args, **kwargs):
        super().new_file(*args, **kwargs)
        self.received = 0

    def receive_data_chunk(self, raw_data, start):
        self.received += len(raw_data)
        if self.received <= LARGEST_BYTES:
            return raw_data
        self._drop_what_is_kept()
        return None

    def _drop_what_is_kept(self):
        # A temporary file is gone from the disk once it is closed.
        for handler in self.request.upload_handlers:
            if begun := getattr(handler, "file", None):
                begun.close()

    def file_complete(self, file_size):
        if self.received <= LARGEST_BYTES:
            return None
        return TooLarge(self.file_name, self.content_type, self.received)
