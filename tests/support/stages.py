"""The stages that a job is made in."""
import re


def stages(job):
    """Options of each `make` of a job file: one that hardens is made twice, its blank and the finish."""
    with open(job, encoding="utf-8") as file:
        return [[], ["--hardened"]] if re.search(r"(?m)^harden:", file.read()) else [[]]
