"""profiles/schemas holds what the program says now, and the project's own files keep to it.

Run with the program and the source folder; --update writes the schemas anew. The finding words of
dryrun.schema.json, written by hand, are those of `list findings`. Ends with 77 (skipped) when
python3-yaml or python3-jsonschema is missing, after all that can be checked without them.
"""
import glob
import json
import os
import subprocess
import sys

KINDS = ["staff", "job", "shop", "machine", "tool", "holder", "material", "post", "setup",
         "survey", "measured", "measurements", "batch"]


def run(program, *args):
    return subprocess.run([program, *args], text=True, capture_output=True, check=True).stdout


def fresh(program, top, update):
    bad = []
    for kind in KINDS:
        path = os.path.join(top, "profiles", "schemas", f"{kind}.schema.json")
        now = run(program, "explain", "--schema", kind)
        json.loads(now)
        if update:
            os.makedirs(os.path.dirname(path), exist_ok=True)
            with open(path, "w", encoding="utf-8") as file:
                file.write(now)
        try:
            with open(path, encoding="utf-8") as file:
                if file.read() != now:
                    bad.append(f"{path} is not what the program says; run this with --update")
        except FileNotFoundError:
            bad.append(f"{path} is missing; run this with --update")
    return bad


def words(program, top):
    with open(os.path.join(top, "profiles", "schemas", "dryrun.schema.json"), encoding="utf-8") as f:
        schema = json.load(f)
    listed = [line.split()[0] for line in run(program, "list", "findings").splitlines()]
    if schema["$defs"]["finding"]["properties"]["code"]["enum"] != listed:
        return ["dryrun.schema.json has other finding codes than `list findings`"]
    return []


# Command lines that print JSON, the schema it keeps to, and what the line ends with (1: a result, too).
OUTPUTS = [
    ("list", 0, ["list", "tools"]),
    ("list", 0, ["list", "findings"]),
    ("correct", 1, ["correct", "samples/fenmoor-43/job.yaml", "samples/fenmoor-43/measured.yaml"]),
    ("correct", 1, ["correct", "samples/fenmoor-43/job.yaml",
                    "tests/cli/correct-lengths/in/measured.yaml"]),
    ("correct", 1, ["correct", "samples/fenmoor-43-grades/batch.yaml",
                    "samples/fenmoor-43-grades/measured.yaml"]),
    ("passes", 0, ["make", "-n", "--passes", "samples/wren-8/job.yaml"]),
    # every kind of file
    ("check", 0, ["check", "samples/fenmoor-43/staff.yaml", "samples/fenmoor-43/survey.yaml",
                  "samples/fenmoor-43/job.yaml", "samples/fenmoor-43/measured.yaml",
                  "samples/fenmoor-43-grades/batch.yaml", "profiles/shops/bench-gang.yaml",
                  "profiles/machines/bench-gang.yaml", "profiles/tools/parting-05.yaml",
                  "profiles/holders/bored-in-place.yaml", "profiles/materials/brass.yaml",
                  "postprocessors/strict.yaml", "tests/bad/program/setup.yaml",
                  "tests/cli/correct-keeps-a-log/in/log.yaml"]),
    # each verdict, and files of which nothing else can be said
    ("check", 1, ["check", "tests/cli/check-staff-that-does-not-fit/in/staff.yaml"]),
    ("check", 3, ["check", "tests/bad/staff/bevel-too-long.yaml", "LICENSE",
                  "no-such-file.yaml"]),
    ("check", 4, ["check", "tests/cli/check-job-that-cannot-be-made/in/job.yaml"]),
    # trials: a sound one, one that reads differently, one that is refused
    ("check", 0, ["check", "postprocessors/iso-blocks.yaml", "--machine", "bench-iso-blocks"]),
    ("check", 1, ["check", "tests/cli/check-finds-a-faulty-dialect/in/own.yaml", "--machine",
                  "bench-turning-parameters"]),
    ("check", 4, ["check", "postprocessors/turning.yaml", "--machine", "bench-gang"]),
]


def seen_of_check(schema, results):
    """Every word that a list of the schema of `check` allows has been printed."""
    files = [file for result in results for file in result["files"]]
    of_file = schema["$defs"]["file"]["properties"]
    bad = [f"check: no output with {key} {word}" for key in ("kind", "verdict")
           for word in of_file[key]["enum"] if word not in [file[key] for file in files]]
    if not any(file["trial"] and file["trial"]["differences"] for file in files):
        bad.append("check: no output with a difference found by a trial")
    return bad


def outputs(program, top):
    import jsonschema
    bad, results = [], []
    for kind, code, words_of in OUTPUTS:
        with open(os.path.join(top, "profiles", "schemas", f"{kind}.schema.json"),
                  encoding="utf-8") as file:
            schema = json.load(file)
        jsonschema.Draft202012Validator.check_schema(schema)
        done = subprocess.run([program, *words_of, "--json", "--profiles",
                               os.path.join(top, "profiles")],
                              text=True, capture_output=True, cwd=top, check=False)
        if done.returncode != code:
            bad.append(f"{' '.join(words_of)} ends with {done.returncode}: {done.stderr[:200]}")
            continue
        result = json.loads(done.stdout)
        if kind == "check":
            check, results = schema, results + [result]
        for error in jsonschema.Draft202012Validator(schema).iter_errors(result):
            bad.append(f"{' '.join(words_of)}: {'/'.join(map(str, error.path))}: "
                       f"{error.message[:200]}")
    return bad + seen_of_check(check, results)


def merged(base, change):
    """As `extends` has it: maps are merged, anything else is replaced."""
    if not isinstance(base, dict) or not isinstance(change, dict):
        return change
    return {**base, **{key: merged(base.get(key), value) for key, value in change.items()}}


def loader(yaml):
    class Loader(yaml.SafeLoader):
        """Keys are texts: `on` and `off` are no truth values there."""

        def construct_mapping(self, node, deep=False):
            return {key.value: self.construct_object(value, deep=True)
                    for key, value in node.value}

    def load(path):
        with open(path, encoding="utf-8") as file:
            data = yaml.load(file, Loader=Loader)
        if data["format"].startswith("post/") and "extends" in data:
            base = os.path.join(os.path.dirname(path), data["extends"] + ".yaml")
            data = merged(load(base), data)
        return data

    Loader.add_constructor("tag:yaml.org,2002:map", Loader.construct_mapping)
    return load


def own_files(top):
    import jsonschema
    import yaml
    load, bad, n = loader(yaml), [], 0
    for folder in ("profiles", "postprocessors", "samples"):
        for path in sorted(glob.glob(os.path.join(top, folder, "**", "*.yaml"), recursive=True)):
            data = load(path)
            kind = data["format"].split("/")[0]
            schema_path = os.path.join(top, "profiles", "schemas", f"{kind}.schema.json")
            with open(schema_path, encoding="utf-8") as file:
                schema = json.load(file)
            jsonschema.Draft202012Validator.check_schema(schema)
            for error in jsonschema.Draft202012Validator(schema).iter_errors(data):
                bad.append(f"{path}: {'/'.join(map(str, error.path))}: {error.message[:200]}")
            n += 1
    print(f"{n} files held against their schemas")
    return bad if n else ["no files to check"]


def main(program, top, update):
    bad = fresh(program, top, update) + words(program, top)
    skipped = False
    try:
        bad += own_files(top)
        bad += outputs(os.path.abspath(program), top)
    except ImportError as error:
        print(f"not checked: {error}")
        skipped = True
    print("\n".join(bad) or "the schemas are fresh")
    sys.exit(1 if bad else 77 if skipped else 0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], "--update" in sys.argv)
