"""Makes expected.tsv: what reference decoders find in the films of this folder.

    python3 -m pip install pypng==0.20220715.0 tifffile==2026.3.3 imagecodecs==2026.3.6 pillow==13.0.0 numpy
    python3 reference.py

One line a film: name, width, height, bits, and the SHA-256 of its stored grey values as 16-bit little endian, rows
top down, before orientation. PNG is decoded by pypng, TIFF by tifffile with imagecodecs, BMP and JPEG by Pillow.
Grey out of colour is worked out here, from the definition 0.299 R + 0.587 G + 0.114 B, in exact thousandths.

JPEG decoders may differ by a level or two, so for those the grey values themselves are kept, as NAME.grey.png, and
`-` stands for the digest.
"""

import hashlib
import pathlib

import numpy
import png
import tifffile
from PIL import Image

HERE = pathlib.Path(__file__).parent


def weighted(rgb):
    red, green, blue = (rgb[..., channel].astype(numpy.uint64) for channel in range(3))
    return ((299 * red + 587 * green + 114 * blue + 500) // 1000).astype(numpy.uint16)


def from_png(path):
    width, height, rows, info = png.Reader(filename=str(path)).read()
    values = numpy.array([list(row) for row in rows], dtype=numpy.uint16)
    if "palette" in info:
        palette = numpy.array([colour[:3] for colour in info["palette"]], dtype=numpy.uint16)
        return weighted(palette[values]), 8
    values = values.reshape(height, width, info["planes"])
    return (values[..., 0] if info["greyscale"] else weighted(values)), info["bitdepth"]


def from_tiff(path):
    with tifffile.TiffFile(path) as file:
        page = file.pages[0]
        values = page.asarray()
        bits = page.bitspersample
        if page.planarconfig == 2:
            values = numpy.moveaxis(values, 0, -1)
        if page.photometric.name == "PALETTE":
            return weighted(numpy.moveaxis(page.colormap, 0, -1)[values.astype(int)]), 16
        if values.dtype.kind == "i":
            values = values.astype(numpy.int64) + (1 << (bits - 1))
        if page.photometric.name in ("RGB", "YCBCR"):
            return weighted(values), bits
        return (values[..., 0] if values.ndim == 3 else values).astype(numpy.uint16), bits


def from_pillow(path):
    # Of the pictures of 16 bits a pixel the suite's author made PNGs; Pillow cuts 6 bits to 8 where it could round.
    rendering = path.with_name(path.name + ".suite.png")
    picture = Image.open(rendering if rendering.exists() else path)
    if picture.mode == "L" and path.suffix == ".jpg":
        return numpy.asarray(picture).astype(numpy.uint16), 8
    return weighted(numpy.asarray(picture.convert("RGB"))), 8


def make_jpegs():
    """Two more ways of coding the colours of bmpsuite, by the libjpeg-turbo inside Pillow."""
    source = Image.open(HERE / "bmpsuite-rgb24.bmp")
    source.convert("L").save(HERE / "made-grey.jpg", quality=85)
    source.save(HERE / "made-progressive.jpg", quality=85, progressive=True, subsampling="4:2:0")


def main():
    make_jpegs()
    readers = {".png": from_png, ".tif": from_tiff, ".tiff": from_tiff, ".bmp": from_pillow, ".jpg": from_pillow}
    lines = []
    for path in sorted(HERE.iterdir()):
        reader = readers.get(path.suffix)
        if reader is None or path.name.endswith((".grey.png", ".suite.png")):
            continue
        grey, bits = reader(path)
        height, width = grey.shape
        if path.suffix == ".jpg" or ".jpg." in path.name:
            digest = "-"
            writer = png.Writer(width, height, greyscale=True, bitdepth=8, compression=9)
            with open(path.with_name(path.name + ".grey.png"), "wb") as file:
                writer.write(file, grey.astype(numpy.uint8))
        else:
            digest = hashlib.sha256(grey.astype("<u2").tobytes()).hexdigest()
        lines.append(f"{path.name}\t{width}\t{height}\t{bits}\t{digest}\n")
    (HERE / "expected.tsv").write_text("".join(lines))


main()
