"""Times reading a DICOM film here and in pydicom, in turn, in one run, and prints the ratio of the medians.

    python3 -m pip install pydicom==3.0.2 pylibjpeg==2.1.0 pylibjpeg-libjpeg==2.5.0 pylibjpeg-openjpeg==2.6.0 \
        pylibjpeg-rle==2.2.0 python-gdcm==3.2.6 numpy==2.4.6
    cargo build --release --example time_decode --bin crestgauge
    python3 benches/beside_pydicom.py [ROUNDS]

Both read the same bytes in memory into 16-bit grey values, the data set parsed each time, without hashing. Every plug-in
of pydicom that reads a syntax is timed, and the fastest counts. At last, `inspect` of the plain film as a whole
process, with both digests, and the most memory each process held, of this size and of 4096 x 6144 pixels.
"""

import io
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import gdcm
import numpy
import pydicom
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.pixels import get_decoder
from pydicom.uid import ExplicitVRLittleEndian, JPEG2000Lossless, JPEGLosslessSV1, RLELossless

BUILT = pathlib.Path(__file__).parent.parent / "target/release"
WIDTH, HEIGHT = 1300, 1700
TRANSCODED = {
    JPEGLosslessSV1: gdcm.TransferSyntax.JPEGLosslessProcess14_1,
    JPEG2000Lossless: gdcm.TransferSyntax.JPEG2000Lossless,
    RLELossless: gdcm.TransferSyntax.RLELossless,
}


def film(width, height):
    """Slow gradients under fine grain, as in benches/film.rs."""
    rows, columns = numpy.mgrid[0:height, 0:width]
    grain = numpy.random.default_rng(1).integers(0, 512, (height, width))
    return (20000 + 8 * columns % 20000 + 6 * rows % 20000 + grain).astype("<u2")


def plain(path, grey):
    data = Dataset()
    data.SOPClassUID = "1.2.840.10008.5.1.4.1.1.7"
    data.SOPInstanceUID = "2.25.1"
    data.SamplesPerPixel, data.PhotometricInterpretation = 1, "MONOCHROME2"
    data.Rows, data.Columns = grey.shape
    data.BitsAllocated, data.BitsStored, data.HighBit, data.PixelRepresentation = 16, 16, 15, 0
    data.ImagerPixelSpacing = [0.02, 0.02]
    data.PixelData = grey.tobytes()
    data["PixelData"].VR = "OW"
    data.file_meta = FileMetaDataset()
    data.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
    data.save_as(path, enforce_file_format=True)


def transcode(source, target, syntax):
    reader = gdcm.ImageReader()
    reader.SetFileName(str(source))
    assert reader.Read()
    change = gdcm.ImageChangeTransferSyntax()
    change.SetTransferSyntax(gdcm.TransferSyntax(TRANSCODED[syntax]))
    change.SetInput(reader.GetImage())
    assert change.Change()
    writer = gdcm.ImageWriter()
    writer.SetFileName(str(target))
    writer.SetFile(reader.GetFile())
    writer.SetImage(change.GetOutput())
    assert writer.Write()


def theirs(encoded, plugin):
    data = pydicom.dcmread(io.BytesIO(encoded))
    if plugin:
        data.pixel_array_options(decoding_plugin=plugin)
    return data.pixel_array


def compare(name, path, grey, syntax, rounds):
    encoded = path.read_bytes()
    plugins = [""] if syntax == ExplicitVRLittleEndian else list(get_decoder(syntax).available_plugins)
    times = {plugin: [] for plugin in plugins}
    ours = []
    for plugin in plugins:
        assert (theirs(encoded, plugin) == grey).all(), plugin
    with subprocess.Popen([BUILT / "examples/time_decode", path], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                          text=True) as process:
        for _ in range(rounds + 2):
            process.stdin.write("\n")
            process.stdin.flush()
            ours.append(int(process.stdout.readline()))
            for plugin in plugins:
                start = time.perf_counter_ns()
                theirs(encoded, plugin)
                times[plugin].append(time.perf_counter_ns() - start)
        process.stdin.close()
    # The first two rounds warm both up.
    mine = statistics.median(ours[2:])
    best = min(plugins, key=lambda plugin: statistics.median(times[plugin][2:]))
    other = statistics.median(times[best][2:])
    by = f" by {best}" if best else ""
    print(f"{name}: crestgauge {mine / 1e6:.2f} ms, pydicom{by} {other / 1e6:.2f} ms, ratio {mine / other:.2f}")


# A process of its own that is small, because a child's most memory counts what its parent held when it began.
MOST_MEMORY = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def whole_process(name, path, rounds, pixels):
    command = [BUILT / "crestgauge", "inspect", path]
    took = []
    for _ in range(rounds + 2):
        start = time.perf_counter_ns()
        subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
        took.append(time.perf_counter_ns() - start)
    most = int(subprocess.run([sys.executable, "-c", MOST_MEMORY, *command], stdout=subprocess.PIPE, check=True).stdout)
    picture = pixels * 2 / 1e6
    print(f"inspect, {name}: {statistics.median(took[2:]) / 1e6:.1f} ms, most memory {most * 1024 / 1e6:.0f} MB "
          f"({most * 1024 / 1e6 - picture:.0f} MB above the picture)")


def coded(grey, directory):
    source = pathlib.Path(directory) / "plain.dcm"
    plain(source, grey)
    films = [("explicit little endian", source, ExplicitVRLittleEndian)]
    for name, syntax in (("JPEG lossless", JPEGLosslessSV1), ("run lengths", RLELossless),
                         ("JPEG 2000 lossless", JPEG2000Lossless)):
        films.append((name, pathlib.Path(directory) / f"{name}.dcm", syntax))
        transcode(source, films[-1][1], syntax)
    return films


def main():
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    print(f"pydicom {pydicom.__version__}, {WIDTH} x {HEIGHT}, 16 bits, medians of {rounds} rounds")
    with tempfile.TemporaryDirectory() as directory:
        grey = film(WIDTH, HEIGHT)
        films = coded(grey, directory)
        for name, path, syntax in films:
            compare(name, path, grey, syntax, rounds)
        for name, path, _ in films:
            whole_process(name, path, rounds, WIDTH * HEIGHT)
        for name, path, _ in coded(film(4096, 6144), directory):
            whole_process(f"{name}, 4096 x 6144", path, 1, 4096 * 6144)


main()
