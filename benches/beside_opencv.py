"""Times reading and toning a film here and in OpenCV, in turn, in one run, and prints the ratio of the medians.

    python3 -m pip install opencv-python-headless numpy
    cargo build --release --example time_decode --example time_tone
    python3 benches/beside_opencv.py [ROUNDS]

Both decode the same bytes from memory into 16-bit (JPEG: 8-bit) grey, on one thread, without hashing. Both tone the
same 16-bit grey values to the four bytes a pixel has on a screen, by a table, on as many threads as they take.
"""

import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import cv2
import numpy

EXAMPLES = pathlib.Path(__file__).parent.parent / "target/release/examples"
WIDTH, HEIGHT = 1300, 1700


def film():
    """Slow gradients under fine grain, as in benches/film.rs."""
    rows, columns = numpy.mgrid[0:HEIGHT, 0:WIDTH]
    grain = numpy.random.default_rng(1).integers(0, 512, (HEIGHT, WIDTH))
    return (20000 + 8 * columns + 6 * rows + grain).astype(numpy.uint16)


def compare(name, example, encoded, other_way, rounds, directory):
    path = pathlib.Path(directory) / "film"
    path.write_bytes(encoded.tobytes())
    ours, theirs = [], []
    with subprocess.Popen([EXAMPLES / example, path], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        for _ in range(rounds + 2):
            process.stdin.write("\n")
            process.stdin.flush()
            ours.append(int(process.stdout.readline()))
            start = time.perf_counter_ns()
            other_way()
            theirs.append(time.perf_counter_ns() - start)
        process.stdin.close()
    # The first two rounds warm both up.
    mine, other = statistics.median(ours[2:]), statistics.median(theirs[2:])
    print(f"{name}: crestgauge {mine / 1e6:.2f} ms, OpenCV {other / 1e6:.2f} ms, ratio {mine / other:.2f}")


def main():
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    cv2.setNumThreads(1)
    print(f"OpenCV {cv2.__version__}, {WIDTH} x {HEIGHT}, medians of {rounds} rounds")
    grey = film()
    eight = (grey >> 8).astype(numpy.uint8)
    with tempfile.TemporaryDirectory() as directory:
        for name, ending, picture, options in [
            ("PNG, 16 bits", ".png", grey, []),
            ("PNG, 8 bits", ".png", eight, []),
            ("TIFF, 16 bits, LZW", ".tif", grey, []),
            ("TIFF, 16 bits, uncompressed", ".tif", grey, [cv2.IMWRITE_TIFF_COMPRESSION, 1]),
            ("JPEG, 8 bits, quality 90", ".jpg", eight, [cv2.IMWRITE_JPEG_QUALITY, 90]),
            ("BMP, 8 bits", ".bmp", eight, []),
        ]:
            done, encoded = cv2.imencode(ending, picture, options)
            assert done
            compare(name, "time_decode", encoded, lambda: cv2.imdecode(encoded, cv2.IMREAD_UNCHANGED), rounds, directory)
        cv2.setNumThreads(-1)
        table = numpy.clip((numpy.arange(65536) - 21000) / 22000 * 255 + 0.5, 0, 255).astype(numpy.uint8)
        done, encoded = cv2.imencode(".png", grey)
        assert done
        compare(
            "toned to the screen", "time_tone", encoded,
            lambda: cv2.cvtColor(cv2.LUT(grey, table[None, :]), cv2.COLOR_GRAY2RGBA), rounds, directory,
        )


main()
