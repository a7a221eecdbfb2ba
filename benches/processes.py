#!/usr/bin/env python3
"""Whole processes: the sample, 1,000 case files, the agreement of 10,000 cases and a score, beside an interpreter that does
nothing.

Builds nothing: run `cargo build --release` first, then `python3 benches/processes.py`. The runs of one row take turns, so
that whatever else the machine does hits both; medians are printed, and the ratio to the empty interpreter.
"""

import hashlib
import json
import pathlib
import random
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
PROGRAM = ROOT / "target" / "release" / "crestgauge"
ROUNDS = 21
CASES = 1000
FILMS = 2500


def timed(command, folder):
    begun = time.perf_counter()
    subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return 1000 * (time.perf_counter() - begun)


def points(case):
    for mark in case["landmarks"].values():
        if "x" in mark:
            yield mark
    for root in case["roots"]:
        yield from (mark for mark in root.get("landmarks", {}).values() if "x" in mark)
        yield from root.get("canal", [])
        for section in root.get("sections", []):
            yield from section["points"]


def repeated(folder):
    """Two observers, two sittings each, on many films: the sample's landmarks with noise."""
    sample = (ROOT / "tests" / "data" / "films-truth" / "film-102.case.json").read_text()
    dice = random.Random(1)
    cases = []
    for film in range(FILMS):
        for observer in ("first", "second"):
            for sitting in (1, 2):
                case = json.loads(sample)
                case["film"].pop("file", None)
                case["film"]["sha256"] = hashlib.sha256(str(film).encode()).hexdigest()
                case |= {"x-observer": observer, "x-sitting": sitting}
                for point in points(case):
                    point["x"] += dice.gauss(0, 5)
                    point["y"] += dice.gauss(0, 5)
                path = folder / f"{film:05}-{observer}-{sitting}.case.json"
                path.write_text(json.dumps(case))
                cases.append(path.name)
    return cases


def key_of_sample(folder):
    case = json.loads((ROOT / "tests" / "data" / "films-truth" / "film-102.case.json").read_text())
    for point in points(case):
        point["placed"] = "truth"
    path = folder / "key.json"
    path.write_text(json.dumps(case))
    return str(path)


def main():
    if not PROGRAM.exists():
        sys.exit("build it first: cargo build --release")
    sources = sorted((ROOT / "tests" / "data" / "check-cases").glob("*.case.json"))
    with tempfile.TemporaryDirectory() as folder:
        cases = []
        for index in range(CASES):
            case = json.loads(sources[index % len(sources)].read_text())
            case["film"].pop("file", None)
            path = pathlib.Path(folder) / f"{index:04}.case.json"
            path.write_text(json.dumps(case))
            cases.append(str(path))
        repeats = pathlib.Path(folder) / "repeats"
        repeats.mkdir()
        study = repeated(repeats)
        key = key_of_sample(pathlib.Path(folder))
        student = str(ROOT / "tests" / "data" / "films-truth" / "film-102.case.json")
        film = str(ROOT / "tests" / "data" / "films-truth" / "film-102.png")
        rows = {
            "an interpreter that does nothing": [shutil.which("python3"), "-S", "-c", "pass"],
            "measure, built-in sample": [str(PROGRAM), "measure"],
            "measure, one case with its film": [str(PROGRAM), "measure", str(ROOT / "tests" / "data" / "films-truth" / "film-102.case.json")],
            f"measure --json, {CASES} case files without films": [str(PROGRAM), "measure", "--json", *cases],
            "inspect, 1.3-megapixel PNG of 16 bits": [str(PROGRAM), "inspect", film],
            "score, one case": [str(PROGRAM), "score", key, student],
            f"agreement --json, {len(study):,} cases": [str(PROGRAM), "agreement", "--json", *study],
        }
        times = {name: [] for name in rows}
        for _ in range(ROUNDS):
            for name, command in rows.items():
                times[name].append(timed(command, repeats))
    nothing = statistics.median(times["an interpreter that does nothing"])
    for name, taken in times.items():
        median = statistics.median(taken)
        print(f"{name:52} {median:8.1f} ms  {median / nothing:6.2f} x the interpreter")


if __name__ == "__main__":
    main()
