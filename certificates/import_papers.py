"""Where the PDFs of past certificates come from: a folder of the machine, or a zip that somebody sent.

Nothing of a zip is ever unpacked onto the disk: a member is read into memory, up to a limit, when
a line of the table names it.
"""

import stat
import zipfile
from collections import Counter

from certificates.import_rows import Wrong

LARGEST_PDF_MB = 20
MOST_MEMBERS = 5_000
MOST_UNPACKED_MB = 500
_MB = 1_000_000
_KINDS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_ENCRYPTED = 0x1
# What a Mac packs beside every file.
_IGNORED = "__MACOSX/"


class BadArchive(Exception):
    """The zip is not used; says everything that is wrong with it."""

    def __init__(self, faults):
        self.faults = tuple(faults)
        super().__init__(" ".join(self.faults))


class Folder:
    def __init__(self, path):
        self.path = path

    def content(self, name):
        """The bytes of the PDF of that name. Raises Wrong."""
        path = self.path / name
        if not path.resolve().is_relative_to(self.path.resolve()):
            raise Wrong([f"pdf “{name}” lies outside the folder of PDFs"])
        try:
            return path.read_bytes()
        except OSError:
            raise Wrong([f"pdf “{name}” cannot be read in the folder of PDFs"]) from None


class Archive:
    """A zip, refused as a whole where any member is not a plain file of a size that a paper has."""

    def __init__(self, file):
        try:
            self._zip = zipfile.ZipFile(file)
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
            raise BadArchive([f"The file is no zip that can be read: {error}."]) from None
        self._members = [
            one for one in self._zip.infolist() if not one.is_dir() and not one.filename.startswith(_IGNORED)
        ]
        if faults := list(_faults(self._members)):
            raise BadArchive(faults)
        self._read_names = set()

    def content(self, name):
        """The bytes of the PDF of that name, in whatever folder of the zip it lies. Raises Wrong."""
        found = [one for one in self._members if one.filename == name] or [
            one for one in self._members if one.filename.endswith(f"/{name}")
        ]
        if not found:
            raise Wrong([f"pdf “{name}” is not in the zip"])
        if len(found) > 1:
            raise Wrong([f"pdf “{name}” lies in several folders of the zip; give the folder with the name"])
        self._read_names.add(found[0].filename)
        return self._read(found[0])

    def unread(self):
        """Names that were not asked for so far."""
        return [one.filename for one in self._members if one.filename not in self._read_names]

    def _read(self, member):
        # The size that a zip states for a member may be a lie.
        most = LARGEST_PDF_MB * _MB
        try:
            with self._zip.open(member) as opened:
                content = opened.read(most + 1)
        except Exception as error:
            # Damaged members raise errors of zip, zlib, codec and operating system alike.
            raise Wrong([f"pdf “{member.filename}” is damaged in the zip: {type(error).__name__}"]) from error
        if len(content) > most:
            raise Wrong([f"pdf “{member.filename}” has more than {LARGEST_PDF_MB} MB unpacked; allowed is that"])
        return content


def _faults(members):
    if len(members) > MOST_MEMBERS:
        yield f"The zip holds {len(members)} files; allowed are {MOST_MEMBERS}."
        return
    unpacked = sum(one.file_size for one in members) / _MB
    if unpacked > MOST_UNPACKED_MB:
        yield f"The zip unpacks to {unpacked:,.0f} MB; allowed are {MOST_UNPACKED_MB} MB."
    for name, times in Counter(one.filename for one in members).items():
        if times > 1:
            yield f"“{name[:80]}” is in the zip {times} times; each name may stand once."
    for one in members:
        if why := _fault(one):
            yield f"“{one.filename[:80]}” {why}"


def _fault(member):
    parts = member.filename.replace("\\", "/").split("/")
    if member.filename.startswith(("/", "\\")) or ".." in parts or ":" in parts[0]:
        return "leads out of the folder of the zip; allowed are names below it."
    if (mode := member.external_attr >> 16) and not (stat.S_ISREG(mode) or stat.S_IFMT(mode) == 0):
        return "is a link or a device; allowed are plain files."
    if member.flag_bits & _ENCRYPTED:
        return "is encrypted; send the zip without a password."
    if member.compress_type not in _KINDS:
        return "is packed in a way that is not read here; allowed are stored and deflated files."
    if member.file_size > LARGEST_PDF_MB * _MB:
        return f"unpacks to {member.file_size / _MB:,.0f} MB; allowed are {LARGEST_PDF_MB} MB for one PDF."
    return None
