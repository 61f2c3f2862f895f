"""The whole check of the register: certificates, what happened to them afterwards, imports, the search."""

from certificates.chain import check_certificates
from certificates.event_check import check_audits, check_events
from certificates.import_check import check_imports
from certificates.line_check import check_lines


def verify_chain(*, with_files=True):
    """Yield every Problem; none where the register is as it was written."""
    yield from check_certificates(with_files=with_files)
    yield from check_imports(with_files=with_files)
    yield from check_events()
    yield from check_audits()
    yield from check_lines()
