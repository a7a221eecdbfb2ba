"""Makes expected.tsv: what reference decoders find in the DICOM films of this folder.

    python3 -m pip install pydicom==3.0.2 pylibjpeg==2.1.0 pylibjpeg-libjpeg==2.5.0 pylibjpeg-openjpeg==2.6.0 \
        pylibjpeg-rle==2.2.0 python-gdcm==3.2.6 numpy==2.4.6
    python3 reference.py [COLLECTION]

With COLLECTION, the folder of pydicom's own test files, those named in PUBLIC are copied here first. One line a film:
name, width, height, bits, and the SHA-256 of its stored grey values as 16-bit little endian, rows top down, before
rescale, window or inversion; signed values plus half their range, colour as 0.299 R + 0.587 G + 0.114 B. Of lossy JPEG
two decoders may differ by a level, so its grey values are kept as NAME.grey and `-` stands for the digest.

The lossless JPEGs of make.py are decoded too, and have to come out as made.tsv says. So has the file that crestgauge
wrote, written-12.dcm: what pydicom reads in it is compared with what was to be written.
"""

import hashlib
import pathlib
import shutil
import sys
import warnings

import numpy
import pydicom

warnings.simplefilter("ignore")
HERE = pathlib.Path(__file__).parent
PUBLIC = """
    693_J2KI ExplVR_BigEnd J2K_pixelrep_mismatch JPEG2000 MR_small MR_small_RLE MR_small_bigendian MR_small_expb
    MR_small_implicit MR_small_jp2klossless MR_small_padded SC_rgb_gdcm_KY SC_rgb_jpeg_gdcm SC_rgb_rle SC_rgb_rle_16bit
    SC_rgb_rle_16bit_2frame SC_rgb_small_odd SC_rgb_small_odd_big_endian SC_ybr_full_422_uncompressed image_dfl
    examples_palette
    SC_jpeg_no_color_transform SC_rgb_dcmtk_+eb+cr SC_rgb_dcmtk_+eb+cy+n1 SC_rgb_dcmtk_+eb+cy+np
    SC_rgb_dcmtk_+eb+cy+s2 SC_rgb_jpeg SC_rgb_jpeg_app14_dcmd SC_rgb_jpeg_dcmtk SC_rgb_jpeg_lossy_gdcm
    SC_rgb_small_odd_jpeg
    JPGExtended MR_small_jpeg_ls_lossless SC_rgb_jls_lossy_line MR_truncated SC_rgb_rle_32bit reportsi rtplan
    DICOMDIR-empty
""".split()

# Kept for what a user is told of them.
NOT_READ = {"JPGExtended", "MR_small_jpeg_ls_lossless", "SC_rgb_jls_lossy_line", "SC_rgb_rle_32bit"}


def grey(data):
    pixels = data.pixel_array
    if int(data.get("NumberOfFrames") or 1) > 1:
        pixels = pixels[0]
    if data.PhotometricInterpretation == "PALETTE COLOR":
        pixels = pydicom.pixels.apply_color_lut(pixels, data)
    if pixels.ndim == 3:
        red, green, blue = (pixels[..., channel].astype(numpy.uint64) for channel in range(3))
        return (299 * red + 587 * green + 114 * blue + 500) // 1000
    values = pixels.astype(numpy.int64) & ((1 << data.BitsStored) - 1)
    return values ^ (1 << (data.BitsStored - 1)) if data.PixelRepresentation else values


def digest(values):
    return hashlib.sha256(values.astype("<u2").tobytes()).hexdigest()


def check_made():
    rows = [line.split("\t") for line in (HERE / "made.tsv").read_text().splitlines()]
    for name, *_, expected in rows:
        data = pydicom.dcmread(HERE / name)
        # pydicom leaves values where they lie in a cell.
        if data.HighBit == data.BitsStored - 1:
            if name == "made-lossless-shifted.dcm":
                # pylibjpeg-libjpeg makes this all white; GDCM does as T.81 says.
                data.pixel_array_options(decoding_plugin="gdcm")
            found = digest(grey(data))
            assert found == expected, f"{name}: the reference decoder finds something else"


def check_written():
    data = pydicom.dcmread(HERE / "written-12.dcm")
    rows, columns = numpy.mgrid[0:30, 0:20]
    assert (data.pixel_array == (rows * 20 + columns) * 6).all()
    stated = (data.BitsAllocated, data.BitsStored, data.HighBit, data.PixelRepresentation)
    assert stated == (16, 12, 11, 0), stated
    assert list(data.ImagerPixelSpacing) == [0.025, 0.02], data.ImagerPixelSpacing
    assert data.EstimatedRadiographicMagnificationFactor == 1.05
    assert "PixelSpacing" not in data
    assert data.file_meta.TransferSyntaxUID == pydicom.uid.ExplicitVRLittleEndian
    assert data.SOPClassUID.name == "Digital Intra-Oral X-Ray Image Storage - For Presentation"
    assert data.file_meta.MediaStorageSOPInstanceUID == data.SOPInstanceUID
    uids = [data.SOPInstanceUID, data.StudyInstanceUID, data.SeriesInstanceUID]
    assert len(set(uids)) == 3 and all(uid.is_valid and uid.startswith("2.25.") for uid in uids), uids
    assert data.PatientName == "" and data.PatientID == "" and data.PatientBirthDate == ""


def main():
    if len(sys.argv) > 1:
        for name in PUBLIC:
            found = next(pathlib.Path(sys.argv[1]).rglob(name if "DICOMDIR" in name else f"{name}.dcm"), None)
            found = found or next(pathlib.Path(sys.argv[1]).rglob(f"{name}.dcm"))
            shutil.copy(found, HERE / f"pydicom-{name}.dcm")
    check_made()
    if (HERE / "written-12.dcm").exists():
        check_written()
    lines = []
    for path in sorted(HERE.glob("pydicom-*.dcm")):
        if path.stem.removeprefix("pydicom-") in NOT_READ:
            continue
        try:
            data = pydicom.dcmread(path)
            values = grey(data)
            bits = 16 if data.PhotometricInterpretation == "PALETTE COLOR" else data.BitsStored
        except Exception as error:
            print(f"{path.name}: not decoded ({type(error).__name__})")
            continue
        height, width = values.shape
        lossy = "JPEG Baseline" in data.file_meta.TransferSyntaxUID.name
        if lossy:
            path.with_suffix(".grey").write_bytes(values.astype(numpy.uint8).tobytes())
        lines.append(f"{path.name}\t{width}\t{height}\t{bits}\t{'-' if lossy else digest(values)}\n")
    (HERE / "expected.tsv").write_text("".join(lines))


main()
