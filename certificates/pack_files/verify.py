"""Checks an unpacked evidence pack: every file, every seal, every paper. Needs nothing but Python.

Run `python3 verify.py` in the unpacked folder, or name the folder. Exit 0: all holds. Exit 1: says what not.
"""

import hashlib
import json
import sys
from pathlib import Path


def sha256(content):
    return hashlib.sha256(content).hexdigest()


def seal_faults(folder, name, previous_seal, seal):
    content = previous_seal.encode() + b"\n" + (folder / name).read_bytes()
    if sha256(content) != seal:
        yield f"{name}: the seal does not fit the record"


def paper_faults(folder, certificate):
    for kind, digest in certificate["papers"].items():
        path = folder / certificate["folder"] / f"{kind}.pdf"
        if digest and (not path.is_file() or sha256(path.read_bytes()) != digest):
            yield f"{certificate['folder']}{kind}.pdf is not the one that was issued"


def sealed_files(record):
    """What each hash that the record sealed stands for."""
    found = {one["sha256"]: one["caption"] for one in record.get("documents", ())}
    for day in record.get("test_days", ()):
        for run in day.get("runs", ()):
            found.update({digest: "photo of run {}".format(run["number"]) for digest in run.get("photos", ())})
        found.update({log["sha256"]: log["original_name"] for log in day.get("logs", ())})
    return found


def evidence_faults(folder, certificate):
    """The manifest was made with the pack; the record was sealed when the certificate was issued."""
    inside = folder / certificate["folder"]
    sealed = sealed_files(json.loads((inside / "record.json").read_text("utf-8")))
    packed = [path for part in ("evidence", "logs") for path in sorted((inside / part).glob("*"))]
    held = {sha256(path.read_bytes()): path.relative_to(folder).as_posix() for path in packed}
    for digest, called in sealed.items():
        if digest not in held:
            yield f"{certificate['folder']}: no file is the one that was sealed as {called!r}"
    for digest, name in held.items():
        if digest not in sealed:
            yield f"{name} is none of the files that the record sealed"


def certificate_faults(folder, certificate):
    if certificate["sealed_at_issue"]:
        record = f"{certificate['folder']}record.json"
        yield from seal_faults(folder, record, certificate["previous_seal"], certificate["seal"])
        yield from evidence_faults(folder, certificate)
    for event in certificate["events"]:
        yield from seal_faults(folder, event["file"], event["previous_seal"], event["seal"])
    yield from paper_faults(folder, certificate)
    for name in certificate["missing_files"]:
        yield f"{name} was missing from the store when the pack was made"


def audit_faults(folder, manifest):
    """The sample, drawn again from the list it was drawn from."""
    for name in manifest.get("lost", ()):
        yield f"{name} was missing from the store when the pack was made"
    numbers = folder / "audit" / "numbers.txt"
    if not manifest.get("audit") or not numbers.is_file():
        return
    audit = json.loads((folder / "audit" / "audit.json").read_text("utf-8"))
    content = numbers.read_bytes()
    if sha256(content) != audit["numbers_sha256"]:
        yield "audit/numbers.txt is not the list that was sealed with the sample"
    listed = content.decode().split("\n")[:-1]
    again = sorted(listed, key=lambda number: sha256("{}:{}".format(audit["seed"], number).encode()))[: audit["size"]]
    if sorted(again) != sorted(certificate["number"] for certificate in manifest["certificates"]):
        yield "audit: drawn again from its list and seed, the sample is another one"
    sealed = {json.dumps(told, sort_keys=True) for told in drawn_as_sealed(folder, manifest, audit["number"])}
    told = {name: audit[name] for name in audit if name not in ("number", "drawn_at")}
    if sealed != {json.dumps(told, sort_keys=True)}:
        yield "audit/audit.json is not what the sealed events say of the draw"


def drawn_as_sealed(folder, manifest, number):
    for certificate in manifest["certificates"]:
        for event in certificate["events"]:
            record = json.loads((folder / event["file"]).read_text("utf-8"))
            if record["kind"] == "sampled" and record["audit"] == number:
                yield record["drawn"]


def file_faults(folder, manifest):
    for name, digest in manifest["files"].items():
        path = folder / name
        if not path.is_file():
            yield f"{name} is missing"
        elif sha256(path.read_bytes()) != digest:
            yield f"{name} was changed"
    listed = {*manifest["files"], "manifest.json", "SHA256SUMS"}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_file() and name not in listed and "__pycache__" not in name:
            yield f"{name} does not belong to the pack"


def manifest_faults(folder):
    sums = dict(reversed(line.split("  ", 1)) for line in (folder / "SHA256SUMS").read_text("utf-8").splitlines())
    if sums.get("manifest.json") != sha256((folder / "manifest.json").read_bytes()):
        yield "manifest.json was changed"


def main(folder):
    faults = list(manifest_faults(folder))
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    faults += file_faults(folder, manifest)
    faults += audit_faults(folder, manifest)
    for certificate in manifest["certificates"]:
        try:
            faults += certificate_faults(folder, certificate)
        except OSError as error:
            faults.append(f"{certificate['number']}: {error}")
    for fault in faults:
        print(fault)
    files = len(manifest["files"])
    verdict = "DOES NOT HOLD" if faults else "all holds"
    print(f"{len(manifest['certificates'])} certificates, {files} files: {verdict}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent))
