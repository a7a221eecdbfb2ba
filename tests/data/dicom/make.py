"""Makes the DICOM films of this folder that no public collection has: made-*.dcm, and made.tsv beside them.

    python3 -m pip install pydicom==3.0.2 numpy==2.4.6
    python3 make.py

Each holds values worked out here, in the cells the attributes describe, so what a reader must find is known before
anything reads it: made.tsv has name, width, height, bits and the SHA-256 of those values as 16-bit little endian. The
lossless JPEGs are coded here by the definition (ITU-T T.81, annex H); reference.py holds them to a decoder too.
"""

import hashlib
import pathlib
import struct

import numpy
import pydicom
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.uid import ExplicitVRBigEndian, ExplicitVRLittleEndian, JPEGLossless, JPEGLosslessSV1, RLELossless

HERE = pathlib.Path(__file__).parent
ROWS, COLUMNS = 37, 53
RANDOM = numpy.random.default_rng(3)
TABLE = []


def gradients(bits):
    """Slow gradients under fine grain, in all the range, with both ends in it."""
    rows, columns = numpy.mgrid[0:ROWS, 0:COLUMNS]
    top = (1 << bits) - 1
    values = (rows * 3 + columns * 5) * top // (ROWS * 3 + COLUMNS * 5)
    values = numpy.clip(values + RANDOM.integers(-top // 16 - 1, top // 16 + 2, values.shape), 0, top)
    values[3, 4], values[4, 3], values[5, 5:9] = 0, top, [0, top, 0, top]
    return values.astype(numpy.uint16)


def weighted(red, green, blue):
    red, green, blue = (channel.astype(numpy.uint64) for channel in (red, green, blue))
    return ((299 * red + 587 * green + 114 * blue + 500) // 1000).astype(numpy.uint16)


def save(name, syntax, pixels, bits, expected, *, samples=1, photometric="MONOCHROME2", high=None, allocated=None,
         signed=0, more=None):
    data = Dataset()
    data.SOPClassUID = "1.2.840.10008.5.1.4.1.1.7"
    data.SOPInstanceUID = "2.25.1"
    data.SamplesPerPixel, data.PhotometricInterpretation = samples, photometric
    if samples > 1:
        data.PlanarConfiguration = 0
    data.Rows, data.Columns = expected.shape
    data.BitsAllocated = allocated or (8 if bits <= 8 else 16)
    data.BitsStored, data.HighBit, data.PixelRepresentation = bits, bits - 1 if high is None else high, signed
    for key, value in (more or {}).items():
        setattr(data, key, value)
    data.PixelData = pixels
    data["PixelData"].VR = "OB" if syntax.is_compressed or data.BitsAllocated == 8 else "OW"
    data.file_meta = FileMetaDataset()
    data.file_meta.TransferSyntaxUID = syntax
    data.save_as(HERE / f"made-{name}.dcm", enforce_file_format=True, little_endian=syntax.is_little_endian,
                 implicit_vr=syntax.is_implicit_VR)
    depth = (more or {}).get("depth_here", bits)
    digest = hashlib.sha256(expected.astype("<u2").tobytes()).hexdigest()
    TABLE.append(f"made-{name}.dcm\t{expected.shape[1]}\t{expected.shape[0]}\t{depth}\t{digest}\n")


def even(data):
    return data + b"\0" * (len(data) % 2)


def plain():
    for bits in range(8, 17):
        values = gradients(bits)
        allocated = 8 if bits == 8 else 16
        cells = values.astype("u1" if allocated == 8 else "<u2").tobytes()
        save(f"{bits}-bits", ExplicitVRLittleEndian, even(cells), bits, values)
    values = gradients(12)
    garbage = RANDOM.integers(0, 16, values.shape).astype(numpy.uint16)
    save("12-garbage-above", ExplicitVRLittleEndian, even((values | garbage << 12).astype("<u2").tobytes()), 12, values)
    save("12-garbage-above-big", ExplicitVRBigEndian, even((values | garbage << 12).astype(">u2").tobytes()), 12, values)
    save("12-high-bit-15", ExplicitVRLittleEndian, even((values << 4 | garbage).astype("<u2").tobytes()), 12, values,
         high=15)
    save("12-high-bit-13", ExplicitVRLittleEndian,
         even((values << 2 | garbage << 14 | garbage & 3).astype("<u2").tobytes()), 12, values, high=13)
    save("monochrome1", ExplicitVRLittleEndian, even(values.astype("<u2").tobytes()), 12, values,
         photometric="MONOCHROME1")
    six = gradients(6)
    save("6-of-8-high-bit-6", ExplicitVRLittleEndian, even((six << 1 | 0x81).astype("u1").tobytes()), 6, six, high=6,
         allocated=8)
    # Signed values; what is measured on is they plus half their range.
    for bits in (8, 12, 16):
        values = gradients(bits)
        signed = values.astype(numpy.int64) - (1 << (bits - 1))
        cells = signed.astype("<i1" if bits == 8 else "<i2").tobytes()
        save(f"{bits}-signed", ExplicitVRLittleEndian, even(cells), bits, values, signed=1)
    signed = (values >> 4).astype(numpy.int64) - 2048
    cells = ((signed & 0xFFF) | 0x5000).astype("<u2").tobytes()
    save("12-signed-garbage-above", ExplicitVRLittleEndian, even(cells), 12, values >> 4, signed=1)


def colours():
    red, green, blue = gradients(8), gradients(8).T.copy().reshape(ROWS, COLUMNS), 255 - gradients(8)
    grey = weighted(red, green, blue)
    in_turn = numpy.stack([red, green, blue], -1).astype("u1").tobytes()
    planes = numpy.stack([red, green, blue]).astype("u1").tobytes()
    save("rgb", ExplicitVRLittleEndian, even(in_turn), 8, grey, samples=3, photometric="RGB")
    save("rgb-planes", ExplicitVRLittleEndian, even(planes), 8, grey, samples=3, photometric="RGB",
         more={"PlanarConfiguration": 1})
    wide = [gradients(16) for _ in range(3)]
    save("rgb-16", ExplicitVRLittleEndian, even(numpy.stack(wide, -1).astype("<u2").tobytes()), 16, weighted(*wide),
         samples=3, photometric="RGB")
    # Y, Cb, Cr of pure grey are that grey.
    level = numpy.full_like(red, 128)
    save("ybr-of-grey", ExplicitVRLittleEndian, even(numpy.stack([red, level, level], -1).astype("u1").tobytes()), 8,
         red, samples=3, photometric="YBR_FULL")
    # A palette of 16 bits with fewer entries than values, the first of them not for 0.
    tables = [RANDOM.integers(0, 65536, 100).astype(numpy.uint16) for _ in range(3)]
    index = gradients(8)
    place = numpy.clip(index.astype(int) - 20, 0, 99)
    more = {"depth_here": 16}
    for name, table in zip(("Red", "Green", "Blue"), tables):
        more[f"{name}PaletteColorLookupTableDescriptor"] = [100, 20, 16]
        more[f"{name}PaletteColorLookupTableData"] = table.astype("<u2").tobytes()
    save("palette-16", ExplicitVRLittleEndian, even(index.astype("u1").tobytes()), 8,
         weighted(*(table[place] for table in tables)), photometric="PALETTE COLOR", more=more)


def frames():
    values = gradients(12)
    both = numpy.concatenate([values, 4095 - values]).astype("<u2").tobytes()
    save("two-frames", ExplicitVRLittleEndian, both, 12, values, more={"NumberOfFrames": 2})


# Codes of 2 to 16 bits for the 17 sizes of differences, the most frequent first.
LENGTHS = [2, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 16]
SYMBOLS = [9, 8, 7, 10, 6, 5, 4, 11, 3, 2, 12, 1, 0, 13, 14, 15, 16]


def codes():
    found, code, before = {}, 0, LENGTHS[0]
    for length, symbol in zip(LENGTHS, SYMBOLS):
        code <<= length - before
        found[symbol] = (code, length)
        code, before = code + 1, length
    return found


def lossless_jpeg(planes, precision, predictor, shift=0, rows_between=0, one_scan=True, tables=None):
    """A lossless JPEG by the definition: prediction (H.1.2.1), differences modulo 2^16 (H.1.2.2), restarts (H.1.1)."""
    table = codes()
    rows, columns = planes[0].shape

    def segment(marker, content):
        return bytes([0xFF, marker]) + struct.pack(">H", len(content) + 2) + content

    counts = bytes(LENGTHS.count(length) for length in range(1, 17))
    out = b"\xff\xd8" + segment(0xC4, b"\0" + counts + bytes(SYMBOLS))
    components = b"".join(bytes([1 + at, 0x11, 0]) for at in range(len(planes)))
    out += segment(0xC3, struct.pack(">BHHB", precision, rows, columns, len(planes)) + components)
    if rows_between:
        out += segment(0xDD, struct.pack(">H", rows_between * columns))
    scans = [list(range(len(planes)))] if one_scan else [[at] for at in range(len(planes))]
    for scan in scans:
        parts = b"".join(bytes([1 + at, 0]) for at in scan)
        out += segment(0xDA, bytes([len(scan)]) + parts + bytes([predictor, 0, shift]))
        values = [[[int(value) >> shift for value in row] for row in planes[at]] for at in scan]
        bits, restarts = [], 0

        def flush():
            text = "".join(bits)
            text += "1" * (-len(text) % 8)
            bits.clear()
            coded = int(text, 2).to_bytes(len(text) // 8, "big") if text else b""
            return coded.replace(b"\xff", b"\xff\0")

        for row in range(rows):
            anew = row == 0 or rows_between and row % rows_between == 0
            if anew and row:
                out += flush() + bytes([0xFF, 0xD0 + restarts % 8])
                restarts += 1
            for column in range(columns):
                for plane in values:
                    if anew and column == 0:
                        prediction = 1 << (precision - shift - 1)
                    elif anew:
                        prediction = plane[row][column - 1]
                    elif column == 0:
                        prediction = plane[row - 1][0]
                    else:
                        a, b, c = plane[row][column - 1], plane[row - 1][column], plane[row - 1][column - 1]
                        prediction = [a, b, c, a + b - c, a + ((b - c) >> 1), b + ((a - c) >> 1), (a + b) >> 1][predictor - 1]
                    difference = (plane[row][column] - prediction) & 0xFFFF
                    if difference > 32768:
                        difference -= 65536
                    size = abs(difference).bit_length() if difference != 32768 else 16
                    code, length = table[size]
                    bits.append(f"{code:0{length}b}")
                    if 0 < size < 16:
                        rest = difference if difference > 0 else difference + (1 << size) - 1
                        bits.append(f"{rest:0{size}b}")
        out += flush()
    return out + b"\xff\xd9"


def lossless():
    for bits, predictors in ((8, (1, 4)), (12, range(1, 8)), (16, range(1, 8))):
        for predictor in predictors:
            values = gradients(bits)
            syntax = JPEGLosslessSV1 if predictor == 1 else JPEGLossless
            save(f"lossless-{bits}-{predictor}", syntax, encapsulate([lossless_jpeg([values], bits, predictor)]), bits,
                 values)
    values = gradients(12)
    for name, jpeg, expected in (
        ("restarts", lossless_jpeg([values], 12, 1, rows_between=5), values),
        ("restarts-7", lossless_jpeg([values], 12, 7, rows_between=2), values),
        ("shifted", lossless_jpeg([values], 12, 4, shift=3), values >> 3 << 3),
    ):
        save(f"lossless-{name}", JPEGLossless, encapsulate([jpeg]), 12, expected)
    jpeg = lossless_jpeg([values], 12, 6)
    save("lossless-fragments", JPEGLossless, encapsulate([jpeg], fragments_per_frame=3), 12, values)
    other = lossless_jpeg([4095 - values], 12, 6)
    save("lossless-two-frames", JPEGLossless, encapsulate([jpeg, other], fragments_per_frame=2), 12, values,
         more={"NumberOfFrames": 2})
    save("lossless-two-frames-no-table", JPEGLossless, encapsulate([jpeg, other], fragments_per_frame=2, has_bot=False),
         12, values, more={"NumberOfFrames": 2})
    planes = [gradients(8) for _ in range(3)]
    for name, one_scan in (("rgb", True), ("rgb-scans", False)):
        save(f"lossless-{name}", JPEGLossless, encapsulate([lossless_jpeg(planes, 8, 5, one_scan=one_scan)]), 8,
             weighted(*planes), samples=3, photometric="RGB")
    # Signed values in a code stream of as many bits as are stored.
    save("lossless-signed", JPEGLossless, encapsulate([lossless_jpeg([values ^ 0x800], 12, 2)]), 12, values, signed=1)


def run_lengths():
    """Run lengths by PS3.5, annex G: literal runs, and repeated ones where four bytes are alike."""
    values = gradients(12)
    values[10:20] = 7

    def coded(data):
        out, at = b"", 0
        while at < len(data):
            alike = 1
            while at + alike < len(data) and alike < 128 and data[at + alike] == data[at]:
                alike += 1
            if alike >= 4:
                out += bytes([257 - alike, data[at]])
                at += alike
            else:
                out += bytes([0, data[at]])
                at += 1
        return even(out)

    segments = [coded((values >> 8).astype("u1").tobytes()), coded((values & 255).astype("u1").tobytes())]
    offsets = [64, 64 + len(segments[0])]
    header = struct.pack("<16I", 2, *offsets, *[0] * 13)
    save("run-lengths-12", RLELossless, encapsulate([header + b"".join(segments)]), 12, values)


def main():
    plain()
    colours()
    frames()
    lossless()
    run_lengths()
    (HERE / "made.tsv").write_text("".join(TABLE))


main()
