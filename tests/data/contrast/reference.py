"""Writes expected.json: grey values of local contrast and sharpening by OpenCV and numpy.

    python3 -m pip install opencv-python-headless numpy
    python3 reference.py

The pictures are given by formulas, which the tests repeat, or are the repository's own sample film.
"""

import json
import pathlib

import cv2
import numpy

HERE = pathlib.Path(__file__).parent


def hashed(index):
    """Grain: 16 bits of a multiplicative hash (Knuth, The Art of Computer Programming 3, 6.4)."""
    return ((index.astype(numpy.uint64) * 2654435761) & 0xFFFFFFFF) >> 16


def scattered(width, height):
    """A slope under grain, 16 bits."""
    y, x = numpy.mgrid[0:height, 0:width].astype(numpy.uint64)
    return (60 * x + 90 * y + hashed(y * width + x) // 4).astype(numpy.uint16)


def places(width, height, count):
    index = numpy.arange(count, dtype=numpy.uint64)
    return [(int(hashed(7 * i + 1)) % width, int(hashed(7 * i + 4)) % height) for i in index]


def sampled(picture, count):
    height, width = picture.shape
    return [[x, y, float(picture[y, x])] for x, y in places(width, height, count)]


def equalised(picture, across, down, limit):
    return cv2.createCLAHE(clipLimit=limit, tileGridSize=(across, down)).apply(picture)


def sampled_beside(picture, result, across, down, tables, tolerance, count):
    """The same with a tolerance for each. OpenCV takes a pixel's upper left corner for its place between regions, the
    definition its middle: half a pixel, by which the mixture of the regions around it differs."""
    height, width = picture.shape
    values = []
    for x, y, value in sampled(result, count):
        grey = int(picture[y, x])
        column, row = (x + 0.5) / (width / across) - 0.5, (y + 0.5) / (height / down) - 0.5
        columns = [min(max(int(numpy.floor(column + off)), 0), across - 1) for off in (-0.1, 0, 1, 1.1)]
        rows = [min(max(int(numpy.floor(row + off)), 0), down - 1) for off in (-0.1, 0, 1, 1.1)]
        around = numpy.array([[tables[r][c][grey] for c in columns] for r in rows])
        along, across_rows = numpy.ptp(around, 1).max(), numpy.ptp(around, 0).max()
        half_pixel = along * across / width / 2 + across_rows * down / height / 2
        values.append([x, y, value, tolerance + half_pixel])
    corner = [value for value in values if value[3] == tolerance]
    assert len(corner) > 10, len(corner)
    return values


def tables_of(picture, across, down, bins, most, share):
    """What OpenCV makes of every grey value in each region: the running sum of what is left below the limit and of the
    share handed out."""
    tables = []
    for row in numpy.split(picture, down, 0):
        tables.append([])
        for region in numpy.split(row, across, 1):
            counts = numpy.minimum(numpy.bincount(region.ravel(), minlength=bins), most) + share
            tables[-1].append(numpy.cumsum(counts) / region.size * (bins - 1))
    return tables


def most_in_a_region(picture, across, down):
    height, width = picture.shape
    most = 0
    for row in numpy.split(picture, down, 0):
        for region in numpy.split(row, across, 1):
            most = max(most, int(numpy.bincount(region.ravel()).max()))
    return most


def unlimited():
    """No limit: both take each region's running sum as it is."""
    width, height, across, down = 256, 192, 4, 3
    picture = scattered(width, height)
    pixels = width * height // (across * down)
    # OpenCV puts a grey value at the end of its own share of the sum, the test's subject at its middle.
    tolerance = most_in_a_region(picture, across, down) / 2 / pixels * 65536 + 2
    return {
        "width": width, "height": height, "bits": 16, "across": across, "down": down, "limit": 1e9,
        "values": sampled_beside(
            picture, equalised(picture, across, down, 0.0), across, down,
            tables_of(picture, across, down, 65536, pixels, 0), tolerance, 400),
    }


def shaped(size, multiplier, levels, copies, first, step, bits):
    """Two by two regions of equally shaped histograms at different places: `levels` neighbouring grey values, each
    `copies` times."""
    picture = numpy.empty((2 * size, 2 * size), dtype=numpy.uint16)
    pixels = size * size
    assert levels * copies == pixels
    index = numpy.arange(pixels, dtype=numpy.uint64)
    for region in range(4):
        shuffled = (index * multiplier) % pixels
        grey = first + step * region + shuffled // copies
        row, column = divmod(region, 2)
        picture[row * size:(row + 1) * size, column * size:(column + 1) * size] = grey.reshape(size, size)
    assert picture.max() < 1 << bits
    return picture


def limited(bits, size, multiplier, levels, copies, first, step, limit):
    """A limit. OpenCV hands out once what lies above it; here that is handed out until none is above. With the same
    share handed out, OpenCV's limit m gives what m + share gives here, where the shapes of all regions are one."""
    picture = shaped(size, multiplier, levels, copies, first, step, bits)
    # 8 bits get their own histogram of 256 bins.
    given = picture.astype(numpy.uint8) if bits == 8 else picture
    result = equalised(given, 2, 2, limit)
    bins, pixels = 1 << bits, size * size
    most = max(1, int(limit * pixels / bins))
    above = levels * (copies - most)
    assert above > 0
    share = above // bins
    same = (most + share) / (pixels / bins)
    left_over = above - share * bins
    return {
        "size": size, "multiplier": multiplier, "levels": levels, "copies": copies, "first": first, "step": step,
        "bits": bits, "limit": same,
        # Half the share of one grey value; and what is left over of the integer division, which OpenCV puts at the
        # first bins it comes to.
        "values": sampled_beside(
            picture, result, 2, 2, tables_of(picture, 2, 2, bins, most, share),
            same / 2 + left_over / pixels * bins + 1.5, 400),
    }


def by_definition(picture, across, down, low, high, width_of_bins, limit):
    """The definition in floating point: bins filled up to the limit by bisection, running sums interpolated, the four
    regions around a pixel mixed."""
    height, width = picture.shape
    x_edges = [at * width // across for at in range(across + 1)]
    y_edges = [at * height // down for at in range(down + 1)]
    edges = numpy.append(numpy.arange(low, high + 1, width_of_bins), high + 1)
    widths, values = numpy.diff(edges), high - low + 1
    grey = numpy.arange(65536.0)
    transfers = numpy.empty((down, across, 65536))
    for row in range(down):
        for column in range(across):
            region = picture[y_edges[row]:y_edges[row + 1], x_edges[column]:x_edges[column + 1]]
            counts = numpy.histogram(region[(region >= low) & (region <= high)], edges)[0].astype(float)
            if counts.sum() == 0:
                transfers[row, column] = grey
                continue
            most = limit * counts.sum() / values * widths
            least, greatest = 0.0, most.max()
            for _ in range(200):
                added = (least + greatest) / 2
                if numpy.minimum(counts + added * widths, most).sum() < counts.sum():
                    least = added
                else:
                    greatest = added
            shares = numpy.minimum(counts + greatest * widths, most)
            sums = numpy.concatenate(([0.0], numpy.cumsum(shares))) / shares.sum() * values
            spread = low + numpy.interp(grey + 0.5, edges, sums) - 0.5
            transfers[row, column] = numpy.where((grey >= low) & (grey <= high), spread, grey)
    rows = numpy.clip((numpy.arange(height) + 0.5) / (height / down) - 0.5, 0, down - 1)[:, None]
    columns = numpy.clip((numpy.arange(width) + 0.5) / (width / across) - 0.5, 0, across - 1)[None, :]
    r, c = rows.astype(int), columns.astype(int)
    under, right = numpy.minimum(r + 1, down - 1), numpy.minimum(c + 1, across - 1)
    p, q = columns - c, rows - r
    above = transfers[r, c, picture] * (1 - p) + transfers[r, right, picture] * p
    below = transfers[under, c, picture] * (1 - p) + transfers[under, right, picture] * p
    return above * (1 - q) + below * q


def sample_film():
    picture = cv2.imread(str(HERE / "../films-truth/film-102.png"), cv2.IMREAD_UNCHANGED)
    assert picture.dtype == numpy.uint16 and picture.ndim == 2
    across, down, low, high, bins, limit = 7, 5, 9000, 50500, 64, 2.5
    result = by_definition(picture, across, down, low, high, bins, limit)
    outside = ((picture < low) | (picture > high)).mean()
    assert 0.001 < outside < 0.5, outside
    return {
        "across": across, "down": down, "from": low, "to": high, "most_bins": 1024, "limit": limit,
        # What each region makes of a grey value is rounded before it is mixed, and so is the mixture; the parts that
        # are mixed are whole 65,536ths.
        "values": [[*value, 1.1] for value in sampled(result, 500)],
    }


def sharpened():
    width, height, sigma, amount = 90, 70, 1.5, 0.8
    picture = scattered(width, height)
    side = 2 * int(numpy.ceil(4 * sigma)) + 1
    blurred = cv2.GaussianBlur(picture.astype(numpy.float64), (side, side), sigma)
    result = numpy.clip(picture + amount * (picture - blurred), 0, 65535)
    return {
        "width": width, "height": height, "sigma": sigma, "amount": amount,
        # Rounding, and single precision.
        "values": [[*value, 0.52] for value in sampled(result, 400)],
    }


def main():
    expected = {
        "opencv": cv2.__version__,
        "numpy": numpy.__version__,
        "unlimited": unlimited(),
        "limited_16_bits": limited(16, 512, 40503, 16384, 16, 8192, 7000, 2.0),
        "limited_8_bits": limited(8, 256, 25173, 128, 512, 20, 25, 1.5),
        "sample_film": sample_film(),
        "sharpened": sharpened(),
    }
    (HERE / "expected.json").write_text(json.dumps(expected) + "\n")
    for name, case in expected.items():
        if isinstance(case, dict):
            tolerances = [value[3] for value in case["values"]]
            print(name, {key: value for key, value in case.items() if key != "values"}, "tolerance of the middle one and "
                  "the largest:", sorted(tolerances)[len(tolerances) // 2], max(tolerances))


main()
