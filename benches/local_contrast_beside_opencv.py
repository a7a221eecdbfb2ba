"""Times local contrast here and in OpenCV, in turn, in one run, and prints the ratio of the medians.

    python3 -m pip install opencv-python-headless numpy
    cargo build --release --no-default-features --example time_local_contrast
    python3 benches/local_contrast_beside_opencv.py [ROUNDS]

Both divide the same 16-bit grey values into 8 by 8 regions at the same limit, with as many threads, from memory into new
memory, and keep nothing from round to round.
"""

import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import cv2
import numpy

EXAMPLE = pathlib.Path(__file__).parent.parent / "target/release/examples/time_local_contrast"
LIMIT = 2.5


def film(width, height):
    """Slow gradients under fine grain, as in benches/film.rs."""
    rows, columns = numpy.mgrid[0:height, 0:width]
    grain = numpy.random.default_rng(1).integers(0, 512, (height, width))
    return (20000 + (8 * columns + 6 * rows) % 40000 + grain).astype(numpy.uint16)


def compare(width, height, threads, rounds, directory):
    grey = film(width, height)
    path = pathlib.Path(directory) / "grey"
    path.write_bytes(grey.astype("<u2").tobytes())
    cv2.setNumThreads(threads)
    clahe = cv2.createCLAHE(clipLimit=LIMIT, tileGridSize=(8, 8))
    command = [EXAMPLE, path, str(width), str(height), str(LIMIT), str(threads)]
    ours, theirs = [], []
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        for _ in range(rounds + 2):
            process.stdin.write("\n")
            process.stdin.flush()
            ours.append(int(process.stdout.readline()))
            start = time.perf_counter_ns()
            clahe.apply(grey)
            theirs.append(time.perf_counter_ns() - start)
        process.stdin.close()
    # The first two rounds warm both up.
    mine, other = statistics.median(ours[2:]), statistics.median(theirs[2:])
    least = min(ours[2:]) / min(theirs[2:])
    print(f"{width} x {height}, {threads} threads: crestgauge {mine / 1e6:.2f} ms, OpenCV {other / 1e6:.2f} ms, "
          f"ratio {mine / other:.2f}, of the fastest rounds {least:.2f}")


def main():
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    print(f"OpenCV {cv2.__version__}, medians of {rounds} rounds")
    with tempfile.TemporaryDirectory() as directory:
        for width, height in [(1300, 1700), (4096, 6144)]:
            for threads in [1, 2]:
                compare(width, height, threads, rounds, directory)


main()
