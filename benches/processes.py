#!/usr/bin/env python3
"""Whole processes: the sample, and 1,000 case files, beside an interpreter that does nothing.

Builds nothing: run `cargo build --release` first, then `python3 benches/processes.py`. The runs of one row take turns, so
that whatever else the machine does hits both; medians are printed, and the ratio to the empty interpreter.
"""

import json
import pathlib
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


def timed(command):
    begun = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return 1000 * (time.perf_counter() - begun)


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
        film = str(ROOT / "sample-images" / "film-102.png")
        rows = {
            "an interpreter that does nothing": [shutil.which("python3"), "-S", "-c", "pass"],
            "measure, built-in sample": [str(PROGRAM), "measure"],
            "measure, one case with its film": [str(PROGRAM), "measure", str(ROOT / "sample-images" / "film-102.case.json")],
            f"measure --json, {CASES} case files without films": [str(PROGRAM), "measure", "--json", *cases],
            "inspect, 1.3-megapixel PNG of 16 bits": [str(PROGRAM), "inspect", film],
        }
        times = {name: [] for name in rows}
        for _ in range(ROUNDS):
            for name, command in rows.items():
                times[name].append(timed(command))
    nothing = statistics.median(times["an interpreter that does nothing"])
    for name, taken in times.items():
        median = statistics.median(taken)
        print(f"{name:52} {median:8.1f} ms  {median / nothing:6.2f} x the interpreter")


if __name__ == "__main__":
    main()
