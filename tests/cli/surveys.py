"""Every sample survey from outside: the staff it leads to, and what is said about it.

For each survey under samples: `size --json` keeps to its schema, the same bytes twice; a complete one
is written with -o, its staff file is sound, keeps to the staff schema, and names every origin that is
no measurement, and the sample's job makes it; an incomplete or contradictory one writes nothing and ends with 1. The chances of
`size` are those of `check` on what it wrote.
"""
import glob
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from installed import lay_out


def run(*args):
    return subprocess.run(args, text=True, capture_output=True, check=False)


def hold_against(schema_name, data, top):
    try:
        import jsonschema
    except ImportError:
        print("  the schema was not tried: python3-jsonschema is missing")
        return []
    with open(os.path.join(top, "profiles/schemas", schema_name), encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    return [f"{schema_name}: {'/'.join(map(str, error.path))}: {error.message[:200]}"
            for error in jsonschema.Draft202012Validator(schema).iter_errors(data)]


def check_written(program, survey, folder, size, top):
    staff = os.path.join(folder, "staff.yaml")
    done = run(program, "size", survey, "-o", staff)
    if done.returncode != 0 or not os.path.exists(staff):
        return [f"size ends with {done.returncode}: {done.stderr[-500:]}"]
    faults = []
    with open(staff, encoding="utf-8") as file:
        text = file.read()
    try:
        import yaml
        faults += hold_against("staff.schema.json", yaml.safe_load(text), top)
    except ImportError:
        print("  the staff was not read back: python3-yaml is missing")
    for origin in {item["from"] for item in size["sizes"]} - {"measured", "chosen"}:
        if f"[{origin}]" not in text:
            faults.append(f"the staff file does not say what is {origin}")
    for item in size["sizes"]:
        if item["why"] not in text:
            faults.append(f"the staff file lacks the reason of {item['name']}")
    checked = run(program, "check", staff)
    if checked.returncode != 0:
        faults.append(f"check ends with {checked.returncode}: {checked.stderr[-500:]}")
    chance = re.search(r"within all limits: ([0-9.]+) %", checked.stdout)
    wanted = 100 * size["fit"]["chance_within_limits"]
    if not chance or abs(float(chance[1]) - wanted) > 0.051:
        faults.append("check and size differ in the chance that the staff fits")
    job = os.path.join(os.path.dirname(survey), "job.yaml")
    if os.path.exists(job):
        shutil.copy(job, folder)
        made = run(program, "make", os.path.join(folder, "job.yaml"), "-n")
        if made.returncode != 0 or "verdict: pass" not in made.stdout:
            faults.append(f"make of the sized staff ends with {made.returncode}: {made.stderr[-500:]}")
    return faults


def check_survey(program, survey, folder, top):
    done = run(program, "size", survey, "--json")
    size = json.loads(done.stdout)
    faults = hold_against("size.schema.json", size, top)
    if run(program, "size", survey, "--json").stdout != done.stdout:
        faults.append("the same survey gives other bytes")
    if done.returncode != (0 if size["is_complete"] else 1):
        faults.append(f"size --json ends with {done.returncode}")
    for item in size["sizes"]:
        shares = sum(part["share"] for part in item["doubt"])
        if item["standard_uncertainty"] > 0 and not 0.9 < shares < 1.0001:
            faults.append(f"the shares of {item['name']} add up to {shares}")
        if not item["fits_band"] and item["improve"] is None:
            faults.append(f"{item['name']} does not fit, and nothing is said to improve")
    worth = [item["worth"] for item in size["next"]]
    if worth != sorted(worth, reverse=True):
        faults.append("what to measure next is not in order")
    if size["is_complete"]:
        return faults + check_written(program, survey, folder, size, top)
    if not size["missing"] and not size["contradictions"] and not size["refused"]:
        faults.append("nothing is said about why there is no staff")
    staff = os.path.join(folder, "none.yaml")
    if run(program, "size", survey, "-o", staff).returncode != 1 or os.path.exists(staff):
        faults.append("something was written, or the exit code is not 1")
    return faults


def main(program, top):
    surveys = sorted(glob.glob(os.path.join(top, "samples", "*", "survey.yaml")) +
                     glob.glob(os.path.join(top, "samples", "surveys", "*.yaml")))
    failed = 0
    with tempfile.TemporaryDirectory() as installed:
        program = lay_out(program, top, installed)
        for survey in surveys:
            with tempfile.TemporaryDirectory() as folder:
                faults = check_survey(program, survey, folder, top)
            print(f"{'FAILED' if faults else 'ok'}: {os.path.relpath(survey, top)}")
            print("\n".join(faults), end="\n" if faults else "")
            failed += bool(faults)
    print(f"{len(surveys)} surveys, {failed} failed")
    sys.exit(1 if failed or len(surveys) < 6 else 0)


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]))
