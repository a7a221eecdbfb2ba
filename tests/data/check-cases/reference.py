#!/usr/bin/env python3
"""An independent reference for the measurements of crestgauge.

Written from the definitions alone (the design's sections on landmarks, scale
and measurements), without a look at the program's own code, so that the two
can be checked against each other.  No verdicts, no plans.  Python 3.9 or later.

    python3 reference.py CASE.case.json ...                 print what is measured
    python3 reference.py --write CASE.case.json ...         write CASE.expected.json
    python3 reference.py --check CASE.case.json ...         compare with CASE.expected.json

How it works.  Every uncertain number (each coordinate, length, diameter,
magnification, reading and parallax shift, and the ratio r) is an *input* with
a nominal value and a standard uncertainty.  `Case` reads the file and registers
the inputs.  `Film` computes scale, axes and points from one vector of input
values, and the rows compute the measurements from a `Film`.  The derivatives
come from the complex step: input i is replaced by x_i + 1e-40j, and the
imaginary part of the result is 1e-40 times the derivative, exact to rounding.
Comparisons look at real parts only, so that at a kink the derivative is that
of the branch taken.

The result for one case, whose scale is null where there is none:
    {"k_axial", "k_transverse": mm per px,
     "measurements": {"id" or "id|root": {"value", "sd"}},
     "null": {"id" or "id|root": {"lacks": [{"landmark", "root", "why"}]}
                              or {"reason": "..."}}}
"""
import cmath
import json
import math
import sys
from collections import namedtuple
from pathlib import Path

STEP = 1e-40
SIDES = MESIAL, DISTAL = "mesial", "distal"

# ---------------------------------------------------------------- vectors
# Vectors are pairs; their components are real, or complex in a complex step.


def re(s): return s.real if isinstance(s, complex) else s
def add(p, q): return (p[0] + q[0], p[1] + q[1])
def sub(p, q): return (p[0] - q[0], p[1] - q[1])
def times(s, p): return (s * p[0], s * p[1])
def dot(p, q): return p[0] * q[0] + p[1] * q[1]
def cross(p, q): return p[0] * q[1] - p[1] * q[0]
def length(p): return cmath.sqrt(dot(p, p))
def quarter_turn(p): return (-p[1], p[0])
def mean(points): return times(1 / len(points), tuple(map(sum, zip(*points))))


def magnitude(s):
    """|s| for a signed quantity (not the modulus of a complex number)."""
    return -s if re(s) < 0 else s


def atan2(y, x):
    """Arc tangent of y/x in the right quadrant, with its derivative."""
    y, x = complex(y), complex(x)
    slope = (x.real * y.imag - y.real * x.imag) / (x.real ** 2 + y.real ** 2)
    return complex(math.atan2(y.real, x.real), slope)


class Null(Exception):
    """No value can be given; the argument is the reason."""


def unit(p):
    n = length(p)
    if re(n) < 1e-9:
        raise Null("degenerate")
    return times(1 / n, p)


# ---------------------------------------------------------------- landmarks
# In the order in which `lacks` lists them.
ORDER = [
    "crown_edge", "stop_reference", "core_top", "core_base", "wall_top.mesial", "wall_top.distal",
    "finish_line.mesial", "finish_line.distal", "cej.mesial", "cej.distal", "crest.mesial",
    "crest.distal", "bone_peak.mesial", "bone_peak.distal", "furcation", "furcal_crest",
    "orifice", "curve_start", "post_head", "post_tip", "filling_top", "filling_tip", "apex",
    "canal", "sections"]

# Tooth landmarks that lie buccal or lingual of the canal's plane.
PARALLAX = ("wall_top", "finish_line", "cej", "crest", "bone_peak", "crown_edge",
            "furcation", "furcal_crest")

# The side of a root, in a tooth with several, that looks into the furcation.
INNER_SIDE = {"mesial": DISTAL, "mesiobuccal": DISTAL, "mesiolingual": DISTAL,
              "distal": MESIAL, "distobuccal": MESIAL, "distolingual": MESIAL}


class Point(namedtuple("Point", "x y sd_px planned shifts")):
    """A placed point: the numbers of its inputs, and how it is uncertain."""

    def sd(self, placing_mm, mm_per_px):
        if self.sd_px is not None:
            return self.sd_px
        return 0.0 if self.planned else max(placing_mm / mm_per_px, 0.5)


class Reference(namedtuple("Reference", "kind axial points size pitch")):
    """A reference object; `size` is the input of its length, diameter or
    magnification, `pitch` the millimetres per pixel before magnification."""

    def k(self, x, a, r):
        """Millimetres per pixel by this reference alone."""
        p = [(x[q.x], x[q.y]) for q in self.points]
        t = quarter_turn(a)
        if self.axial:
            seen = sum(length((dot(sub(q, o), a), r * dot(sub(q, o), t)))
                       for o, q in zip(p, p[1:]))
        elif self.kind == "width":
            seen = magnitude(dot(sub(p[1], p[0]), t))
        elif self.kind == "sphere":
            seen = 2 * circle_radius(p)
        else:
            return self.pitch / x[self.size]
        if re(seen) < 1e-9:
            raise Null("degenerate")
        return x[self.size] / seen


def circle_radius(p):
    """Radius of the circle with the least sum of squared distances to p.

    For a centre c the best radius is the mean distance, so that only
    f(c) = 1/2 sum (d_i - mean d)^2 remains; Newton's method finds where its
    gradient vanishes, started from the algebraic fit."""
    m = mean([(re(q[0]), re(q[1])) for q in p])
    rel = [(re(q[0]) - m[0], re(q[1]) - m[1]) for q in p]
    suu, suv, svv, bu, bv = (sum(f(u, v) for u, v in rel) for f in (
        lambda u, v: u * u, lambda u, v: u * v, lambda u, v: v * v,
        lambda u, v: u * (u * u + v * v) / 2, lambda u, v: v * (u * u + v * v) / 2))
    det = suu * svv - suv ** 2
    if det <= 1e-12 * (suu + svv) ** 2:
        raise Null("degenerate")
    c = (m[0] + (bu * svv - bv * suv) / det, m[1] + (suu * bv - suv * bu) / det)
    for turn in range(50):
        d = [length(sub(q, c)) for q in p]
        n = [times(1 / di, sub(q, c)) for q, di in zip(p, d)]   # gradient of d is -n
        d_mean, n_mean = sum(d) / len(d), mean(n)
        gx, gy = (sum((d_mean - di) * ni[j] for di, ni in zip(d, n)) for j in (0, 1))
        hxx, hxy, hyy = (
            sum(ni[j] * (ni[k] - n_mean[k]) + (di - d_mean) * ((j == k) - ni[j] * ni[k]) / di
                for di, ni in zip(d, n)) for j, k in ((0, 0), (0, 1), (1, 1)))
        det = hxx * hyy - hxy ** 2
        step = ((gx * hyy - gy * hxy) / det, (gy * hxx - gx * hxy) / det)
        c = sub(c, step)
        # at least two steps, so that the derivatives have settled as well
        if turn > 1 and abs(re(step[0])) + abs(re(step[1])) < 1e-12 * abs(re(d_mean)):
            break
    return sum(length(sub(q, c)) for q in p) / len(p)


class Case:
    """A case file as inputs and what stands on them."""

    def __init__(self, doc):
        self.nominal, self.sds = [], []
        self.placed_points = []             # every point, reference points too
        film, tooth = doc.get("film", {}), doc["tooth"]
        self.aspect = film.get("pixel_aspect", 1.0)
        paralleling = film.get("technique", "paralleling") == "paralleling"
        calibration, unc = doc.get("calibration", {}), doc.get("uncertainty", {})
        self.placing_mm = unc.get("placing_mm", 0.15)
        depth = unc.get("parallax_depth_mm", 4.0 if str(tooth["fdi"])[1] in "678" else 2.0)
        angle = unc.get("angulation_deg", 5.0 if paralleling else 10.0)
        self.parallax_sd = depth * math.tan(math.radians(angle))
        self.ratio_sd = calibration.get("ratio_sd", 0.03 if paralleling else 0.05)
        self.ratio = self.input(1.0, self.ratio_sd)
        self.references = [self.reference(r) for r in calibration.get("references", [])]

        self.points, self.why = {}, {}      # by (landmark, root name or None)
        for name, mark in doc.get("landmarks", {}).items():
            shifts = []
            if name.split(".")[0] in PARALLAX and "x" in mark:
                shifts = [self.input(0.0, self.parallax_sd)]
            self.landmark((name, None), mark, shifts)
        self.roots, self.canal, self.sections = [r["name"] for r in doc["roots"]], {}, {}
        self.several = len(self.roots) > 1
        for name, root in zip(self.roots, doc["roots"]):
            shifts = [self.input(0.0, self.parallax_sd)] if self.several else []
            for key, mark in root.get("landmarks", {}).items():
                self.landmark((key, name), mark, shifts)
            self.canal[name] = [self.point(p, shifts) for p in root.get("canal", [])]
            self.sections[name] = [[self.point(p, shifts) for p in s["points"]]
                                   for s in root.get("sections", [])]

        clinical = doc.get("clinical", {})
        self.planned_core = self.reading(clinical.get("planned_core_height_mm"))
        self.planned_crown = self.reading(clinical.get("planned_crown_length_mm"))
        self.probed = {}
        for key, row in (("ferrule_mm", "ferrule_height"), ("wall_mm", "wall")):
            for site, reading in clinical.get(key, {}).items():
                self.probed[row + "." + site] = self.reading(reading)

    def input(self, value, sd):
        self.nominal.append(float(value))
        self.sds.append(sd)
        return len(self.nominal) - 1

    def point(self, p, shifts):
        """The sd of a coordinate waits for the scale: see `measure`."""
        self.placed_points.append(
            Point(self.input(p["x"], None), self.input(p["y"] * self.aspect, None),
                  p.get("sd_px"), p.get("state") == "planned", shifts))
        return self.placed_points[-1]

    def landmark(self, key, mark, shifts):
        if "x" in mark:
            self.points[key] = self.point(mark, shifts)
        else:
            self.why[key] = "hidden" if "hidden" in mark else "absent"

    def reading(self, given):
        if given is None:
            return None
        given = given if isinstance(given, dict) else {"value": given}
        default = 0.2 if given.get("by") == "calliper" else 0.5
        return self.input(given["value"], given.get("sd", default))

    def reference(self, r):
        kind = r["kind"]
        axial, pitch = kind == "instrument", None
        if kind in ("instrument", "width", "sphere"):
            what, tolerance = ("length", 0.5) if axial else ("diameter", 0.05)
            value = r[what + "_mm"]
            sd = r.get(what + "_sd_mm", r.get("tolerance_mm", tolerance) / math.sqrt(3))
        else:
            pitch = r["pitch_mm"][0] if kind == "receptor" else 25.4 / r["dpi"]
            value, sd = r.get("magnification", 1.05), r.get("magnification_sd", 0.03)
        return Reference(kind, axial, [self.point(p, []) for p in r.get("points", [])],
                         self.input(value, sd), pitch)

    def has(self, name, root=None):
        return (name, root) in self.points

    def m_points(self):
        """The pair of landmarks whose midpoint is M, or None."""
        for name in ("finish_line.", "cej."):
            if all(self.has(name + side) for side in SIDES):
                return [(name + side, None) for side in SIDES]

    def apices(self):
        return [("apex", r) for r in self.roots if self.has("apex", r)]

    def post_of_axis(self):
        for r in self.roots:
            if self.has("post_head", r) and self.has("post_tip", r):
                return r

    def crests(self):
        return [("crest." + s, None) for s in SIDES if self.has("crest." + s)]

    def axis_recipe(self):
        """How the tooth axis is made: a name, or None where it cannot be."""
        if self.m_points() and self.apices():
            return "apices"
        if self.post_of_axis():
            return "post"
        if self.m_points() and self.crests():
            return "perpendicular"

    def root_axis_start(self, root):
        """Where the axis of a root begins; None: the tooth axis stands in."""
        if not self.has("apex", root):
            return None
        if self.several:
            if self.has("orifice", root):
                return "orifice"
            if self.canal[root]:
                return "canal"
        return "M" if self.m_points() else None

    def wants(self, what, root):
        """The landmarks that a need rests on and that may be missing."""
        finish, cej, crest = ([(n + side, None) for side in SIDES]
                              for n in ("finish_line.", "cej.", "crest."))
        apices = [("apex", r) for r in self.roots or [None]]    # without roots: an apex of none
        if what == "M":
            none = not any(key in self.points for key in finish)
            return [] if self.m_points() else finish + cej if none else finish
        if what == "C":
            return [] if self.crests() else crest
        if what == "apices":
            return [] if self.apices() else apices
        if what == "canal":
            return [("canal", root)] if len(self.canal[root]) < 2 else []
        if what in ("u", "w", "path"):
            made = (self.axis_recipe() or what != "u" and self.root_axis_start(root)
                    or what == "path" and len(self.canal[root]) >= 2)
            return [] if made else self.wants("M", None) + apices
        return [(what, root)]

    def missing(self, needs):
        """The landmarks, in listing order, that keep these needs from being met."""
        gone = {key for need in needs
                for key in self.wants(*(need if isinstance(need, tuple) else (need, None)))
                if key not in self.points}
        rank = [None] + self.roots
        gone = sorted(gone, key=lambda key: (ORDER.index(key[0]), rank.index(key[1])))
        return [dict({"landmark": name, "why": self.why.get((name, root), "not_placed")},
                     **({"root": root} if root else {})) for name, root in gone]


def derivative(function, x, i):
    bent = list(x)
    bent[i] = complex(x[i], STEP)
    return complex(function(bent)).imag / STEP


def weigh(case, a):
    """The relative variance of every reference, and the pooled variances of
    the instruments and of the transverse references: all are constants."""
    x, r = case.nominal, 1.0
    u2 = []
    for ref in case.references:
        k = re(ref.k(x, a, r))
        parts = [(ref.size, case.sds[ref.size])]
        for p in ref.points:
            sd = p.sd(case.placing_mm, k)
            parts += [(p.x, sd), (p.y, sd)]
        u2.append(max(sum((derivative(lambda y: ref.k(y, a, r), x, i) / k * sd) ** 2
                          for i, sd in parts), 1e-12))

    def pooled(axial):
        w = [1 / v for v, ref in zip(u2, case.references) if ref.axial == axial]
        return 1 / sum(w) if w else None
    return u2, pooled(True), pooled(False)


class Film:
    """Scale, points in the millimetre plane and axes, for one set of inputs."""

    def __init__(self, case, x, weights=None):
        self.case, self.x = case, x
        self.a = self.axial_direction()
        self.weights = weights or weigh(case, (re(self.a[0]), re(self.a[1])))
        self.k_axial, self.k_transverse = self.scale()
        self.axes = {}

    def pixel(self, p):
        return (self.x[p.x], self.x[p.y])

    def axial_direction(self):
        for ref in self.case.references:
            if ref.axial:
                return unit(sub(self.pixel(ref.points[-1]), self.pixel(ref.points[0])))
        return self.tooth_axis(lambda key: self.pixel(self.case.points[key]))

    def scale(self):
        case, x = self.case, self.x
        u2, var_a, var_b = self.weights
        r = x[case.ratio]
        q = cmath.log(r)
        logs = [cmath.log(ref.k(x, self.a, r)) for ref in case.references]

        mean_a, mean_b = (
            var and var * sum(l / v for l, v, ref in zip(logs, u2, case.references)
                              if ref.axial == axial)
            for axial, var in ((True, var_a), (False, var_b)))
        if var_b is None:
            log_a, log_t = mean_a, mean_a + q
        elif var_a is None:
            log_a, log_t = mean_b - q, mean_b
        else:
            delta = mean_b - mean_a - q
            v = var_a + var_b + max(case.ratio_sd, 1e-6) ** 2
            log_a = mean_a + var_a * delta / v
            log_t = mean_b - var_b * delta / v
        return cmath.exp(log_a), cmath.exp(log_t)

    # -- places in the millimetre plane: (along a, along t)

    def plane(self, p):
        return (self.k_axial * dot(self.pixel(p), self.a) + sum(self.x[i] for i in p.shifts),
                self.k_transverse * dot(self.pixel(p), quarter_turn(self.a)))

    def at(self, name, root=None):
        return self.plane(self.case.points[(name, root)])

    def M(self):
        return mean([self.at(*key) for key in self.case.m_points()])

    def canal(self, root):
        return [self.plane(p) for p in self.case.canal[root]]

    def tooth_axis(self, at):
        """The tooth axis over places given by `at`: in pixels or millimetres."""
        case, recipe = self.case, self.case.axis_recipe()
        if recipe == "apices":
            return unit(sub(mean([at(key) for key in case.apices()]),
                            mean([at(key) for key in case.m_points()])))
        if recipe == "post":
            root = case.post_of_axis()
            return unit(sub(at(("post_tip", root)), at(("post_head", root))))
        if recipe == "perpendicular":
            one, two = (at(key) for key in case.m_points())
            n = unit(quarter_turn(sub(two, one)))
            off = dot(sub(at(case.crests()[0]), one), n)
            return times(-1, n) if re(off) < 0 else n
        raise Null("no_axis")

    def u(self):
        if None not in self.axes:
            self.axes[None] = self.tooth_axis(lambda key: self.at(*key))
        return self.axes[None]

    def w(self, root):
        start = self.case.root_axis_start(root)
        if start is None:
            return self.u()
        if root not in self.axes:
            begin = (self.at("orifice", root) if start == "orifice" else
                     self.canal(root)[0] if start == "canal" else self.M())
            self.axes[root] = unit(sub(self.at("apex", root), begin))
        return self.axes[root]

    def from_crest(self, p, axis):
        """From the crest line to p along the axis; positive apical of it."""
        crests = [self.at(*key) for key in self.case.crests()]
        if len(crests) == 1:
            return dot(sub(p, crests[0]), axis)
        d = unit(sub(crests[1], crests[0]))
        if abs(re(cross(d, axis))) <= 1e-9:
            raise Null("parallel")
        # p = c + alpha d + beta axis, crossed with d
        return cross(d, sub(p, crests[0])) / cross(d, axis)

    def nearest(self, root, p):
        """The arc length at the place of the canal nearest to p, and the
        direction of the segment it lies on."""
        canal = self.canal(root)
        travelled, found = 0, []
        for i, (begin, end) in enumerate(zip(canal, canal[1:])):
            long, way = length(sub(end, begin)), unit(sub(end, begin))
            s = dot(sub(p, begin), way)
            if re(s) < 0 and i > 0:
                s = 0
            elif re(s) > re(long) and i < len(canal) - 2:
                s = long
            found.append((re(length(sub(p, add(begin, times(s, way))))), travelled + s, way))
            travelled = travelled + long
        least = min(gap for gap, s, way in found)
        return next((s, way) for gap, s, way in found if gap <= least + 1e-9)

    def depth(self, root, p):
        """Depth along the canal; without one, along the root axis."""
        if len(self.case.canal[root]) >= 2:
            return self.nearest(root, p)[0]
        return dot(p, self.w(root))

    def across(self, root, i, j, k):
        """Section i, from its point j to its point k."""
        s = [self.plane(p) for p in self.case.sections[root][i]]
        way = (self.nearest(root, mean([s[0], s[3]]))[1]
               if len(self.case.canal[root]) >= 2 else self.w(root))
        return magnitude(cross(way, sub(s[k], s[j])))


# ---------------------------------------------------------------- rows
# A row is (needs, value): the needs say what must be placed, the value is a
# function of a Film.  `CLIPPED` rows are cut at 0 after propagation.
CLIPPED = ("bone_loss", "post_to_root_in_bone", "seal_length")


def along_u(begin, end):
    return ["u", begin, end], lambda f: dot(sub(f.at(end), f.at(begin)), f.u())


def joined(top, bottom):
    """A ratio of two rows."""
    def ratio(f):
        over, under = top[1](f), bottom[1](f)
        if re(under) < 0.5:
            raise Null("denominator_small")
        return over / under
    return top[0] + bottom[0], ratio


def tooth_rows(case):
    rows = {}
    for side in SIDES:
        crest, cej = "crest." + side, "cej." + side
        for name, begin, end in (("ferrule_height.", "wall_top.", "finish_line."),
                                 ("margin_to_crest.", "finish_line.", "crest."),
                                 ("cej_to_crest.", "cej.", "crest."),
                                 ("defect_depth.", "bone_peak.", "crest.")):
            rows[name + side] = along_u(begin + side, end + side)

        def beyond(f, p, cej=cej):
            return dot(sub(p, f.at(cej)), f.u()) - 2.0
        rows["bone_loss." + side] = joined(
            (["u", cej, crest], lambda f, b=beyond, c=crest: b(f, f.at(c))),
            (["u", cej, "apices"],
             lambda f, b=beyond: b(f, mean([f.at(*key) for key in f.case.apices()]))))
        if case.several:
            rows["crest_to_furcation." + side] = along_u(crest, "furcation")
    rows["core_height"] = along_u("core_top", "core_base")
    rows["crown_length"] = (["u", "crown_edge", "M"],
                            lambda f: dot(sub(f.M(), f.at("crown_edge")), f.u()))
    if case.planned_crown is not None and not case.has("crown_edge"):
        rows["crown_length"] = ["u"], lambda f: f.x[case.planned_crown]
    return rows


def root_rows(case, root, tooth):
    def here(name):
        return (name, root)

    rows = {}
    tip, apex, w, path = map(here, ("post_tip", "apex", "w", "path"))

    def along_w(begin):
        return [begin, tip, w], lambda f: dot(sub(f.at(*tip), f.at(*begin)), f.w(root))

    def deep(f, name):
        return f.depth(root, f.at(name, root))

    def along_canal(begin, end):
        return [here(begin), here(end), path], lambda f: deep(f, end) - deep(f, begin)

    rows["post_length"] = ([here("post_head"), tip],
                           lambda f: length(sub(f.at(*tip), f.at("post_head", root))))
    rows["post_depth"] = along_w(here("orifice") if case.several else ("core_base", None))
    core = (tooth["core_height"] if case.planned_core is None else
            ([], lambda f: f.x[case.planned_core]))
    rows["post_to_core"] = joined(rows["post_depth"], core)
    rows["post_below_margin"] = (["M", tip, w],
                                 lambda f: dot(sub(f.at(*tip), f.M()), f.w(root)))
    rows["root_length"] = ["M", apex, path], lambda f: deep(f, "apex") - f.depth(root, f.M())
    rows["post_to_crown"] = joined(rows["post_below_margin"], tooth["crown_length"])
    rows["post_to_root"] = joined(rows["post_below_margin"], rows["root_length"])
    for side in SIDES:
        inner = case.several and INNER_SIDE.get(root) == side
        rows["tip_beyond_crest." + side] = along_w(
            ("furcal_crest" if inner else "crest." + side, None))
    tip_in_bone = ["C", tip, w], lambda f: f.from_crest(f.at(*tip), f.w(root))
    if not case.several:
        rows["tip_beyond_crest"] = ["crest.mesial", "crest.distal"] + tip_in_bone[0], tip_in_bone[1]
    rows["root_in_bone"] = ["C", apex, w], lambda f: f.from_crest(f.at(*apex), f.w(root))
    rows["post_to_root_in_bone"] = joined(tip_in_bone, rows["root_in_bone"])
    rows["filling_length"] = along_canal("filling_top", "filling_tip")
    ends = ("filling_top", "post_tip", "filling_tip", "apex")

    def seal(f):
        top, post, end, foramen = (deep(f, name) for name in ends)
        return ((foramen if re(foramen) < re(end) else end)
                - (post if re(post) > re(top) else top))
    rows["seal_length"] = [here(n) for n in ends] + [path], seal
    if all(case.why.get(here(e)) == "absent" for e in ("filling_top", "filling_tip")):
        rows["seal_length"] = [], lambda f: 0.0
    rows["filling_short_of_apex"] = along_canal("filling_tip", "apex")
    if not (case.has(*tip) and case.points[tip].planned):
        rows["tip_to_filling"] = along_canal("post_tip", "filling_top")

    if case.has("crown_edge"):
        crown = ["crown_edge", "C", "u"], lambda f: -f.from_crest(f.at("crown_edge"), f.u())
    else:
        crown = (tooth["crown_length"][0] + ["M", "C"],
                 lambda f: tooth["crown_length"][1](f) - f.from_crest(f.M(), f.u()))
    rows["crown_to_root"] = joined(crown, rows["root_in_bone"])

    for i in range(len(case.sections[root])):
        def width(j, k, i=i):
            return [path], lambda f: f.across(root, i, j, k)
        for name, j, k in (("root_width", 0, 3), ("canal_width", 1, 2),
                           ("wall.mesial", 0, 1), ("wall.distal", 2, 3)):
            rows["%s@%d" % (name, i)] = width(j, k)
        rows["canal_to_root@%d" % i] = joined(width(1, 2), width(0, 3))

    def curve(f):
        """The angle in radians, and the length of the second line."""
        canal, bend = f.canal(root), f.at("curve_start", root)
        one, two = unit(sub(bend, canal[0])), unit(sub(canal[-1], bend))
        return magnitude(atan2(cross(one, two), dot(one, two))), length(sub(canal[-1], bend))

    def radius(f):
        angle, long = curve(f)
        if math.degrees(re(angle)) < 5:
            raise Null("below_5_deg")
        return long / (2 * cmath.sin(angle))
    needs = [here("curve_start"), here("canal")]
    rows["curvature"] = needs, lambda f: math.degrees(1) * curve(f)[0]
    rows["curvature_radius"] = needs, radius
    return rows


def measure(doc):
    case = Case(doc)
    tooth = tooth_rows(case)
    rows = dict(tooth)
    for root in case.roots:
        for name, row in root_rows(case, root, tooth).items():
            rows[name + "|" + root] = row

    out = {"k_axial": None, "k_transverse": None, "measurements": {}, "null": {}}
    live = {}
    try:
        if not case.references:
            raise Null("no_scale")
        film = Film(case, case.nominal)
        out["k_axial"], out["k_transverse"] = film.k_axial.real, film.k_transverse.real
    except Null as none:
        out["null"] = {name: {"reason": str(none)} for name in rows}
    else:
        for name, (needs, value) in rows.items():
            lacks = case.missing(needs)
            if lacks:
                out["null"][name] = {"lacks": lacks}
                continue
            try:
                value(film)
                live[name] = value
            except Null as none:
                out["null"][name] = {"reason": str(none)}
        for p in case.placed_points:
            case.sds[p.x] = case.sds[p.y] = p.sd(case.placing_mm, film.k_axial.real)
        variance = dict.fromkeys(live, 0.0)
        for i, sd in enumerate(case.sds):
            if sd:
                x = list(case.nominal)
                x[i] = complex(x[i], STEP)
                bent = Film(case, x, film.weights)
                for name, value in live.items():
                    variance[name] += (complex(value(bent)).imag / STEP * sd) ** 2
        for name, value in live.items():
            v = re(value(film))
            if name.split("|")[0].split(".")[0] in CLIPPED:
                v = max(v, 0.0)
            out["measurements"][name] = {"value": v, "sd": math.sqrt(variance[name])}

    for name, i in case.probed.items():
        out["measurements"][name] = {"value": case.nominal[i], "sd": case.sds[i]}
    return out


# ---------------------------------------------------------------- command

def compact(got):
    """As JSON, one row a line, numbers to ten digits (the scale in full)."""
    def lines(rows):
        return ",\n".join("  %s: %s" % (json.dumps(n), json.dumps(r)) for n, r in rows.items())
    rounded = {name: {key: float("%.10g" % v) for key, v in row.items()}
               for name, row in got["measurements"].items()}
    return ('{\n "k_axial": %s,\n "k_transverse": %s,\n "measurements": {\n%s\n },\n'
            ' "null": {\n%s\n }\n}\n' % (json.dumps(got["k_axial"]),
                                       json.dumps(got["k_transverse"]),
                                       lines(rounded), lines(got["null"])))


def close(got, want, relative, absolute=0.0):
    return got is want or None not in (got, want) and (
        abs(got - want) <= max(relative * abs(want), absolute))


def differences(got, want):
    """What in `want` is not so in `got`; rows without a value are compared
    only where `want` lists them."""
    said = [(key, got[key], want[key]) for key in ("k_axial", "k_transverse")
            if not close(got[key], want[key], 1e-9)]
    for name in sorted(set(got["measurements"]) | set(want["measurements"])):
        g, w = got["measurements"].get(name), want["measurements"].get(name)
        if not (g and w and close(g["value"], w["value"], 1e-6, 1e-7)
                and close(g["sd"], w["sd"], 1e-3, 1e-9)):
            said.append((name, g or got["null"].get(name), w))
    if "null" in want:
        for name in sorted(set(got["null"]) | set(want["null"])):
            if got["null"].get(name) != want["null"].get(name):
                said.append((name, got["null"].get(name), want["null"].get(name)))
    return ["%s: %r, expected %r" % line for line in said]


def main(arguments):
    task = arguments.pop(0) if arguments and arguments[0].startswith("--") else "--print"
    if task not in ("--print", "--write", "--check") or not arguments:
        sys.exit(__doc__)
    bad = 0
    for path in arguments:
        got = measure(json.loads(Path(path).read_text("utf-8")))
        expected = Path(path.replace(".case.json", ".expected.json"))
        if task == "--print":
            print(compact(got), end="")
        elif task == "--write":
            expected.write_text(compact(got), "utf-8")
        else:
            said = differences(got, json.loads(expected.read_text("utf-8")))
            bad += bool(said)
            for line in said:
                print("%s: %s" % (path, line))
    if task == "--check":
        print("%d cases, %d disagree" % (len(arguments), bad))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
