"""What a job leaves open is chosen by cost: the dry run's own clock is the witness. With `pivot_order` left out a plan
takes no longer than the order it did not take, unless that one bends the work further; of two tools that reach as
much, the last cuts get the one that bends less, or is done sooner. A job that says what it wants gets that."""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

program, source = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
ORDERS = {"tip-first": "Pivots tip-first", "last": "Pivots last"}
WORTH = 1.02  # the planner's own reckoning of time is good to this


def fail(text):
    print("chosen:", text)
    sys.exit(1)


def seconds(top, sample, *lines, may_refuse=False):
    """The dry run's seconds of a job, what it says of choices, and how often bending takes more than its share; None
    where the shop cannot make it."""
    job = os.path.join(top, "samples", sample, "chosen.yaml")
    with open(os.path.join(top, "samples", sample, "job.yaml")) as file:
        text = [line for line in file if not line.startswith("pivot_order")]
    with open(job, "w") as file:
        file.writelines(text + [line + "\n" for line in lines])
    command = [program, "make", "-n", "--profiles", os.path.join(top, "profiles"), job]
    said = subprocess.run(command, capture_output=True, text=True)
    told = subprocess.run(command + ["--json"], capture_output=True, text=True)
    if said.returncode == 4 and may_refuse:
        return None
    if said.returncode or told.returncode:
        fail(f"{sample} {lines}: {said.stderr}")
    times = [it["seconds"] for it in json.loads(told.stdout)["programs"]]
    return sum(times), said.stdout, len(re.findall("may come out up to .* bends", said.stderr))


def orders(top):
    for sample in ("fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"):
        took, said, bends = seconds(top, sample)
        now = "last" if ORDERS["last"] in said else "tip-first"
        for order, words in ORDERS.items():
            wanted, fixed, bends_fixed = seconds(top, sample, "pivot_order: " + order)
            if any(it in fixed for it in ORDERS.values()):
                fail(f"{sample}: {order} was asked for, and something chosen")
            if order == now and abs(wanted - took) > 0.01:
                fail(f"{sample}: {words} takes {wanted:.2f} s, chosen {took:.2f}")
            if order != now and took > WORTH * wanted and bends_fixed <= bends:
                fail(f"{sample}: {order} takes {wanted:.2f} s, not chosen; chosen {took:.2f}")


def change(path, *pairs):
    with open(path) as file:
        text = file.read()
    for old, new in pairs:
        if not re.search(old, text):
            fail(f"{path} has no {old}")
        text = re.sub(old, new, text)
    return text


def tools(top):
    """A second copying point in the place of the recess point, which this staff does not need."""
    tool = os.path.join(top, "profiles", "tools", "copy-point-35.yaml")
    shop = os.path.join(top, "profiles", "shops", "bench-gang.yaml")
    for nose in (0.015, 0.028):
        with open(os.path.join(top, "profiles", "tools", "second-point.yaml"), "w") as file:
            file.write(change(tool, ("nose_radius: .*", f"nose_radius: {nose}"), ("name: .*", "name: second point")))
        whole = change(shop, ("tool: recess-point", "tool: second-point"))
        alone = {"copying point 35": re.sub(r".*tool: second-point.*\n", "", whole),
                 "second point": re.sub(r".*tool: copy-point-35.*\n", "", whole)}
        kept = open(shop).read()
        found = {}
        for name, text in list(alone.items()) + [("both", whole)]:
            with open(shop, "w") as file:
                file.write(text)
            found[name] = seconds(top, "harrow-2p", may_refuse=name != "both")
        with open(shop, "w") as file:
            file.write(kept)
        took, said, bends = found.pop("both")
        if not any(found.values()):
            fail("neither tool can do it alone: the test says nothing")
        for name, (wanted, _, bends_alone) in [it for it in found.items() if it[1]]:
            if bends > bends_alone or (bends == bends_alone and "bend the work less" not in said and
                                       took > WORTH * wanted):
                fail(f"nose {nose}: {took:.2f} s and {bends} bends, {name} alone {wanted:.2f} s and {bends_alone}")
        if nose < 0.02 and "Last cuts of side 1 by second point" not in said:
            fail(f"the finer point was not chosen: {said}")


with tempfile.TemporaryDirectory() as folder:
    for part in ("profiles", "postprocessors", "samples"):
        shutil.copytree(os.path.join(source, part), os.path.join(folder, part))
    orders(folder)
    tools(folder)
print("chosen: orders of five samples, last cuts by either of two points: as cost has it")
