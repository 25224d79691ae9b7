"""Every sample job from outside: what make writes holds together.

For each samples/*/job*.yaml, and once more with --hardened where it says `harden`: make ends with 0; record.json lists every file with the SHA-256 that
hashlib finds; dryrun.json passes and keeps to its schema; a dry run of the folder gives the same
bytes, and so does one with the setup record; making again gives the same bytes; the setup record is
sound; the sheet keeps to its width and says what it must; nothing names a place of this machine. For
the first job also: an edited program is found out.
"""
import glob
import hashlib
import json
import os
import re
import subprocess
import sys
import tempfile
import zlib

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out
from stages import stages

SHEET_WIDTH = 96
SHEET_SAYS = ["Holding", "Tools and their zero", "Order of work", "Afterwards", "Sizes", "not run on a machine", "eye protection", "in the air first",
              "single block", "other pivot", "parked", "sleeves", "catch fire", "manual",
              "operator decides", "________"]


def run(*args):
    return subprocess.run(args, text=True, capture_output=True, check=False)


def read(folder, name):
    with open(os.path.join(folder, name), "rb") as file:
        return file.read()


def check_record(folder):
    record = json.loads(read(folder, "record.json"))
    faults = []
    if record["files"] != [f["file"] for f in record["outputs"]] + ["record.json"] or \
            sorted(record["files"]) != sorted(os.listdir(folder)):
        faults.append("the record does not list the files of the folder")
    for output in record["outputs"]:
        if hashlib.sha256(read(folder, output["file"])).hexdigest() != output["sha256"]:
            faults.append(f"another SHA-256 of {output['file']}")
    suffixes = {".yaml"}
    if len(record["inputs"]) < 6 or {os.path.splitext(i["file"])[1] for i in record["inputs"]} != suffixes:
        faults.append("the record lacks inputs")
    return faults


def check_verdict(folder, top, stage):
    text = read(folder, "dryrun.json")
    verdict = json.loads(text)
    faults = [] if verdict["verdict"] == "pass" else ["the verdict is not pass"]
    faults += [f"{f['program']}:{f['at']['line']}: strained" for f in verdict["findings"]
               if f["code"] == "overstress"]
    for program in verdict["programs"]:
        if hashlib.sha256(read(folder, program["file"])).hexdigest() != program["sha256"]:
            faults.append(f"dryrun.json has another SHA-256 of {program['file']}")
    for section in verdict["sections"]:
        least, most = section["size_mm"]
        if not least <= most:
            faults.append(f"sizes of {section['name']} are no pair")
        if section["predicted_nominal_mm"] is None:
            if stage != "hardened":
                faults.append(f"nothing made {section['name']}")
            continue  # finished before it was hardened
        # on target within one step of the control, half a micrometre on radius
        off = abs(section["predicted_nominal_mm"] - section["turned_mm"])
        if off > 0.001:
            faults.append(f"{section['name']} is predicted {1000 * off:.2f} um off its target")
        low, high = section["predicted_mm"]
        if not low < section["predicted_nominal_mm"] < high:
            faults.append(f"{section['name']} comes out outside of its own band")
    try:
        import jsonschema
        with open(os.path.join(top, "profiles/schemas/dryrun.schema.json"), encoding="utf-8") as file:
            schema = json.load(file)
        jsonschema.Draft202012Validator.check_schema(schema)
        for error in jsonschema.Draft202012Validator(schema).iter_errors(verdict):
            faults.append(f"dryrun.json: {error.message[:200]}")
    except ImportError:
        print("  the schema was not tried: python3-jsonschema is missing")
    return faults


def check_sheet(folder, stage):
    sheet = read(folder, "sheet.txt").decode("utf-8")
    also = {"blank": ["Hardening and tempering", "away from the machine", "extinguisher"],
            "hardened": ["The blank comes back", "Growth is", "Stone and burnish"],
            "hard": ["Stone and burnish"]}[stage]
    faults = [f"the sheet does not say: {words}" for words in SHEET_SAYS + also
              if words not in " ".join(sheet.split())]
    faults += [f"sheet, {len(line)} columns: {line}" for line in sheet.splitlines()
               if len(line) > SHEET_WIDTH]
    faults += [f"sheet: {line}" for line in sheet.splitlines() if "nan" in line.split()]
    return faults


def check_pages(folder):
    """Both PDFs: no clip is an area with a hole elsewhere, or one that was filled just before: a size
    would be covered by what is clipped. The sheet has four pages at most."""
    faults = []
    for name in ("sheet.pdf", "drawing.pdf"):
        data = read(folder, name)
        if name == "sheet.pdf" and not 1 <= len(re.findall(rb"/Type /Page\s", data)) <= 4:
            faults.append("sheet.pdf has not one to four pages")
        n_clips = 0
        for found in re.finditer(rb"stream\r?\n", data):
            try:
                text = zlib.decompress(data[found.end():data.find(b"endstream", found.end())])
            except zlib.error:
                continue
            n_clips += text.count(b" re W n")
            faults += [f"{name}: a clip that is no box, {place.decode()}"
                       for place in re.findall(rb"(?m)^\S+ \S+ m W n$", text)]
            filled = set(re.findall(rb"1 1 1 rg (\S+ \S+ \S+ \S+) re f\*", text))
            faults += [f"{name}: a filled box is a clip, {place.decode()}"
                       for place in re.findall(rb"(?m)^(\S+ \S+ \S+ \S+) re W n$", text) if place in filled]
        if n_clips < 5:
            faults.append(f"{name}: only {n_clips} clips were found")
    return faults


def check_places(folder, top):
    # A way there from the folder ("../../top/...") is no place; one that begins at the root is.
    return [f"{name} names a place of this machine" for name in os.listdir(folder)
            for place in (top, folder)
            if re.search(rb"(?<![.\w])" + re.escape(place.encode()), read(folder, name))]


def check_again(program, job, folder, *options):
    faults = []
    again = folder + "-again"
    files = json.loads(read(folder, "record.json"))["files"]
    done = run(program, "make", job, "-o", again, *options)
    if done.returncode != 0 or any(read(folder, f) != read(again, f) for f in files):
        faults.append("making it again gives other bytes")
    verdict = read(folder, "dryrun.json").decode()
    done = run(program, "dryrun", folder, "--json")
    if done.returncode != 0 or done.stdout != verdict or done.stderr:
        faults.append(f"the dry run of the folder differs: {done.stderr}")
    programs = [p["file"] for p in json.loads(verdict)["programs"]]
    done = subprocess.run([program, "dryrun", *reversed(programs), "--setup", "setup.yaml", "--json"],
                          cwd=folder, text=True, capture_output=True, check=False)
    if done.returncode != 0 or json.loads(done.stdout) != json.loads(verdict):
        faults.append(f"the dry run by the setup record differs: {done.stderr}")
    if run(program, "check", os.path.join(folder, "setup.yaml")).returncode != 0:
        faults.append("the setup record is not sound")
    return faults


def check_digests(folder):
    """As a person would, by grep and sha256sum."""
    faults = []
    for name in [p["file"] for p in json.loads(read(folder, "dryrun.json"))["programs"]]:
        done = subprocess.run(f"grep -vE '^[(;]sha256 [0-9a-f]{{64}}[)]?$' {name} | sha256sum",
                              shell=True, cwd=folder, text=True, capture_output=True, check=False)
        if f"sha256 {done.stdout[:64]}" not in read(folder, name).decode():
            faults.append(f"{name}: the digest in its head is not that of grep and sha256sum")
    return faults


def check_edited(program, job, folder, *options):
    faults = []
    name = json.loads(read(folder, "record.json"))["outputs"][0]["file"]
    path = os.path.join(folder, name)
    text = read(folder, name).decode()
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace("M3", "M4"))
    done = run(program, "dryrun", folder, "--json")
    codes = {f["code"] for f in json.loads(done.stdout)["findings"]}
    if done.returncode != 1 or "wrong-way" not in codes:
        faults.append(f"a spindle turning the wrong way is not found: {done.returncode} {codes}")
    if "changed-since" not in codes:
        faults.append("an edited program is not noted as changed")
    programs = [os.path.join(folder, p["file"])
                for p in json.loads(read(folder, "dryrun.json"))["programs"]]
    done = run(program, "dryrun", *programs, "--job", job, *options)
    if done.returncode != 1 or "verdict: fail" not in done.stdout:
        faults.append("the dry run by the job does not fail the edited program")
    if "changed-since" not in done.stdout:
        faults.append("an edited program without its record is not noted as changed")
    return faults


def check_idle(program, folder):
    """A program that leaves the rod alone: every section is told how much stands on it."""
    for name in ("side-1.nc", "side-2.nc"):
        with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
            file.write("M2\n")
    done = run(program, "dryrun", folder, "--json")
    verdict = json.loads(done.stdout)
    faults = [f"{s['name']}: {s['left_um']} um left of {s['size_mm'][1]} for {s['turned_mm']}"
              for s in verdict["sections"]
              if not s["left_um"] >= 500 * (s["size_mm"][1] - s["turned_mm"]) - 0.01 > 100]
    return faults if done.returncode == 1 else faults + [f"an idle program ends with {done.returncode}"]


def stages_of(jobs):
    for job in jobs:
        for options in stages(job):
            yield job, "hardened" if options else "blank" if len(stages(job)) > 1 else "hard"


def main(program, top):
    failed = 0
    with tempfile.TemporaryDirectory() as installed:
        program = lay_out(program, top, installed)
        jobs = sorted(glob.glob(os.path.join(top, "samples", "*", "job*.yaml")))
        for i, (job, stage) in enumerate(stages_of(jobs)):
            folder = os.path.join(installed, f"out-{i}")
            options = ["--hardened"] if stage == "hardened" else []
            done = run(program, "make", job, "-o", folder, *options)
            faults = []
            if done.returncode != 0:
                faults = [f"make ends with {done.returncode}", done.stdout[-2000:], done.stderr[-2000:]]
            else:
                faults += check_record(folder) + check_verdict(folder, top, stage)
                faults += check_sheet(folder, stage)
                faults += check_pages(folder)
                faults += check_places(folder, top)
                faults += check_again(program, job, folder, *options)
                faults += check_digests(folder)
                faults += check_edited(program, job, folder, *options) \
                    if i == 0 or stage == "hardened" else []
                faults += check_idle(program, folder) if os.path.basename(job) == "job-bush.yaml" else []
            print(f"{'FAILED' if faults else 'ok'}: {os.path.relpath(job, top)} {' '.join(options)}")
            print("\n".join(faults), end="\n" if faults else "")
            failed += bool(faults)
    print(f"{len(jobs)} jobs, {failed} failed")
    sys.exit(1 if failed or len(jobs) < 10 else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
