#!/usr/bin/env python3
"""Makes the check cases 2-000 to 2-059: invented teeth, from a fixed seed.

    python3 generate.py FOLDER          writes FOLDER/2-NNN.case.json
"""
import copy
import json
import math
import os
import random
import sys

INNER = {"mesial": 0.7, "mesiobuccal": 0.6, "mesiolingual": 0.8, "distal": -0.7,
         "distobuccal": -0.6, "distolingual": -0.8, "palatal": 0.1, "lingual": -0.1,
         "buccal": 0.15, "single": 0.0}


class Tooth:
    """A tooth in millimetres: s along it towards the apex, v towards mesial."""

    def __init__(self, seed, fdi, roots, turn, technique=None, aspect=None, mirrored=False,
                 snap=False):
        self.rng = rng = random.Random(seed)
        self.k = rng.uniform(0.022, 0.05)
        self.ratio = rng.uniform(0.96, 1.04)
        self.turn, self.aspect = math.radians(turn), aspect or 1.0
        self.mirror = -1 if mirrored else 1
        self.snap = snap
        film = {"file": "none.png", "width_px": 2200, "height_px": 2200, "stage": "post_core"}
        if technique:
            film["technique"] = technique
        if aspect:
            film["pixel_aspect"] = aspect
        self.doc = {"format": "crestgauge.case", "version": 1, "film": film,
                    "tooth": {"fdi": fdi, "mesial_is": None},
                    "calibration": {"references": []}, "landmarks": {}, "roots": [],
                    "clinical": {}, "uncertainty": {}}
        m = self.px(0, 3, 0)["x"] > self.px(0, -3, 0)["x"]
        self.doc["tooth"]["mesial_is"] = "right" if m else "left"
        self.tooth_landmarks()
        for name in roots:
            self.root(name, len(roots) > 1)

    def noise(self, sd):
        return 0.0 if self.snap else self.rng.gauss(0, sd)

    def px(self, s, v, noise=0.12):
        """Coordinates on the film, y in stored rows."""
        x, y = (s + self.noise(noise)) / self.k, (v + self.noise(noise)) / self.k / self.ratio
        y *= self.mirror
        c, d = math.cos(self.turn), math.sin(self.turn)
        # at turn 0 the tooth's long direction points down the film
        return {"x": round(1000 + x * d + y * c, 3),
                "y": round((900 + x * c - y * d) / self.aspect, 3)}

    def tooth_landmarks(self):
        r, m = self.rng, self.doc["landmarks"]
        for side, v in (("mesial", 2.4), ("distal", -2.4)):
            m["wall_top." + side] = self.px(r.uniform(-3, -1), v)
            m["finish_line." + side] = self.px(0, v)
            m["cej." + side] = self.px(0.6, v)
            m["crest." + side] = self.px(r.uniform(2, 5), v * 1.2)
            if r.random() < 0.5:
                m["bone_peak." + side] = self.px(1.5, v * 1.4)
        m["core_top"] = self.px(-6, 0)
        m["core_base"] = self.px(-1.2, 0.2)
        m["stop_reference"] = self.px(-5, 1)
        if r.random() < 0.6:
            m["crown_edge"] = self.px(-8, 0)

    def root(self, name, several):
        r, side = self.rng, INNER[name] if several else 0.0
        long = r.uniform(12, 15)
        bend = r.uniform(0.15, 0.6) * (1 if side >= 0 else -1)

        def way(s):
            if self.snap:
                return 0.0
            v = side * 0.4 * max(s, 0)
            return v + bend * max(0.0, s - 7) ** 1.5 / 8
        post = r.uniform(7.0, 9)
        marks = {"orifice": self.px(1.0, way(1)), "curve_start": self.px(7, way(7)),
                 "post_head": self.px(-4, 0), "post_tip": self.px(post, way(post)),
                 "filling_top": self.px(post + 0.8, way(post + 0.8)),
                 "filling_tip": self.px(long - 1, way(long - 1)),
                 "apex": self.px(long, way(long), 0)}
        root = {"name": name, "landmarks": marks, "canal": [], "sections": []}
        self.way, self.long = way, long
        self.canal(root, 5)
        if self.doc["roots"] == []:
            root["post_here"] = True
        for level, s in (("coronal", 2.5), ("middle", 6.5)):
            w = way(s)
            root["sections"].append({"level": level, "points": [
                self.px(s, w + 1.9), self.px(s, w + 0.6), self.px(s, w - 0.6), self.px(s, w - 1.9)]})
        root["way"], root["long"] = way, long
        self.doc["roots"].append(root)

    def canal(self, root, n, first=1.0, last=None):
        way, long = root.get("way", self.way), root.get("long", self.long)
        last = last or long
        if n == 1:
            root["canal"] = [self.px(first, way(first))]
            return
        root["canal"] = [self.px(s, way(s), 0.05) for s in
                         (first + (last - first) * i / (n - 1) for i in range(n))]

    # -- references

    def reference(self, kind, number=2, **more):
        r = self.rng
        if kind == "instrument":
            bow = r.uniform(-0.6, 0.6) if number > 2 else 0
            run = 21.0
            tilt = r.uniform(-0.12, 0.12)
            points = [self.px(-6 + run * i / (number - 1),
                              4 + tilt * i + bow * i * (number - 1 - i), 0 if self.snap else 0.1)
                      for i in range(number)]
            if self.snap:
                for p in points:
                    p["x"] = points[0]["x"]
            ref = {"kind": kind, "points": points, "between": "tip-stop",
                   "length_mm": round(run * r.uniform(0.98, 1.03), 2)}
        elif kind == "width":
            d = r.uniform(1.0, 4.5)
            s = r.uniform(0, 5)
            ref = {"kind": kind, "points": [self.px(s, d / 2, 0.02), self.px(s, -d / 2, 0.02)],
                   "diameter_mm": round(d * r.uniform(0.98, 1.02), 3)}
        elif kind == "sphere":
            d = r.uniform(3, 6)
            start = r.uniform(0, 6)
            cx, cy = r.uniform(200, 1800), r.uniform(200, 1800)
            points = []
            for i in range(number):
                angle = start + (i + r.uniform(-0.25, 0.25)) * r.choice((5.4, 6.2)) / number
                rad = d / 2 / self.k / self.ratio + r.gauss(0, 1.5)
                points.append({"x": round(cx + rad * math.cos(angle), 3),
                               "y": round((cy + rad * math.sin(angle)) / self.aspect, 3)})
            ref = {"kind": kind, "points": points, "diameter_mm": round(d, 2)}
        elif kind == "receptor":
            p = round(self.k * self.ratio * 1.05 * r.uniform(0.97, 1.03), 5)
            ref = {"kind": kind, "pitch_mm": [p, round(p * self.aspect, 5)]}
        else:
            ref = {"kind": "scan", "dpi": round(25.4 / (self.k * self.ratio * 1.05) * r.uniform(0.97, 1.03), 1)}
        ref.update(more)
        self.doc["calibration"]["references"].append(ref)
        return ref

    def finish(self):
        doc = copy.deepcopy({k: v for k, v in self.doc.items() if k != "roots"})
        doc["roots"] = []
        for root in self.doc["roots"]:
            root = {k: v for k, v in root.items() if k not in ("way", "long")}
            if not root["canal"]:
                del root["canal"]
            if not root["sections"]:
                del root["sections"]
            doc["roots"].append(root)
        for key in ("clinical", "uncertainty"):
            if not doc[key]:
                del doc[key]
        return doc


# ---------------------------------------------------------------- changes

def drop(t, *names):
    for n in names:
        t.doc["landmarks"].pop(n, None)


def mark(t, what, *names):
    for n in names:
        t.doc["landmarks"][n] = dict(what)


def rdrop(t, i, *names):
    for n in names:
        t.doc["roots"][i]["landmarks"].pop(n, None)


def rmark(t, i, what, *names):
    for n in names:
        t.doc["roots"][i]["landmarks"][n] = dict(what)


def put(t, name, s, v=0.0, **more):
    t.doc["landmarks"][name] = dict(t.px(s, v), **more)


def rput(t, i, name, s, v=None, **more):
    way = t.doc["roots"][i]["way"]
    t.doc["roots"][i]["landmarks"][name] = dict(t.px(s, way(s) if v is None else v), **more)


def plan(t, i, name, **more):
    where = t.doc["landmarks"] if i is None else t.doc["roots"][i]["landmarks"]
    where[name].update(state="planned", **more)


HIDDEN, ABSENT, CUT = {"hidden": "under the metal crown"}, {"absent": "never there"}, {"hidden": "off the film"}
NO_FILLING, NO_POST = {"absent": "no root filling"}, {"absent": "no post"}


def furcated(t, inner=True):
    put(t, "furcation", 4.2)
    if inner:
        put(t, "furcal_crest", 5.3)


def make():
    cases = []

    def tooth(fdi, roots=("single",), turn=None, **more):
        n = len(cases)
        if turn is None:
            turn = (3, 12, -8, 176, -171, 90, -84, 35, 140, -40)[n % 10] + (n * 7) % 5
        more.setdefault("mirrored", n % 3 == 1)
        t = Tooth(7000 + n, fdi, roots, turn, **more)
        cases.append(t)
        return t

    # -- spheres (0-6)
    t = tooth("11"); t.reference("sphere", 3)
    t = tooth("22", technique="bisecting"); t.reference("sphere", 4, tolerance_mm=0.02)
    put(t, "bone_peak.mesial", 1.2, 3); rput(t, 0, "filling_top", 6.2)
    t = tooth("33", technique="paralleling"); t.reference("sphere", 8, diameter_sd_mm=0.01, tolerance_mm=0.3)
    rput(t, 0, "filling_tip", 15.6)
    t = tooth("44", aspect=0.8); t.reference("instrument"); t.reference("sphere", 4)
    rput(t, 0, "filling_top", 6.0); rput(t, 0, "filling_tip", 16.0)
    t = tooth("46", ("mesial", "distal"), aspect=1.25); furcated(t)
    t.reference("instrument", 3); t.reference("sphere", 8)
    t = tooth("16", ("mesiobuccal", "distobuccal", "palatal"), technique="unknown"); furcated(t)
    t.reference("instrument"); t.reference("instrument", 5); t.reference("sphere", 3); t.reference("width")
    t = tooth("15", aspect=0.8, technique="bisecting"); t.reference("sphere", 3); t.reference("sphere", 8)
    t.doc["calibration"]["references"][1]["points"][2]["sd_px"] = 0
    t.doc["calibration"]["references"][1]["points"][3]["sd_px"] = 4.5

    # -- several references (7-13)
    t = tooth("12"); t.reference("instrument"); t.reference("instrument", 3); t.reference("instrument", 5)
    t.reference("receptor"); t.reference("scan", magnification=1.08)
    t = tooth("23"); t.reference("width"); t.reference("instrument"); t.reference("width", tolerance_mm=0.01)
    t.reference("receptor", magnification=1.03, magnification_sd=0.015)
    t.doc["calibration"]["ratio_sd"] = 0.0
    t = tooth("34"); t.reference("width"); t.reference("sphere", 4); t.reference("receptor"); t.reference("scan")
    t = tooth("36", ("mesiobuccal", "mesiolingual", "distal")); furcated(t)
    t.reference("instrument", length_sd_mm=0.1, tolerance_mm=0.5); t.reference("instrument", tolerance_mm=0.25)
    t.doc["calibration"]["references"][0]["points"][0]["sd_px"] = 0
    t.doc["calibration"]["references"][0]["points"][1]["sd_px"] = 0
    t = tooth("45", aspect=1.25, technique="paralleling"); t.reference("width", diameter_sd_mm=0.005)
    t = tooth("27", ("buccal", "palatal"), aspect=1.25); t.reference("scan"); furcated(t)
    t = tooth("35", aspect=0.8); t.reference("receptor", magnification=1.1); t.reference("scan", magnification_sd=0.01)

    # -- where the axis comes from, without an instrument (14-25)
    t = tooth("26", ("mesiobuccal", "distobuccal", "palatal")); furcated(t); t.reference("receptor")
    rmark(t, 0, CUT, "apex"); rdrop(t, 2, "apex")
    t = tooth("47", ("mesial", "distal"), aspect=0.8); furcated(t); t.reference("width")
    rmark(t, 0, CUT, "apex"); rdrop(t, 1, "orifice")
    t = tooth("37", ("mesial", "distal")); furcated(t); t.reference("sphere", 4)   # post of the second root
    rdrop(t, 0, "apex"); rmark(t, 1, CUT, "apex"); rdrop(t, 0, "post_head")
    t = tooth("21"); t.reference("receptor"); drop(t, "finish_line.mesial", "cej.distal")   # post, M missing
    t = tooth("31"); t.reference("scan"); rmark(t, 0, CUT, "apex"); plan(t, 0, "post_tip", sd_px=3)
    t = tooth("13", aspect=1.25); t.reference("receptor")           # finish line, mesial crest
    rmark(t, 0, CUT, "apex"); rmark(t, 0, NO_POST, "post_head", "post_tip")
    t = tooth("14", ("buccal", "palatal")); t.reference("width")    # finish line, distal crest
    for i in (0, 1):
        rdrop(t, i, "apex", "post_head")
    drop(t, "crest.mesial")
    t = tooth("25", aspect=0.8); t.reference("sphere", 8)           # CEJ pair, mesial crest
    rdrop(t, 0, "apex", "post_tip"); mark(t, HIDDEN, "finish_line.distal")
    t = tooth("24", ("buccal", "lingual")); t.reference("receptor")  # CEJ pair, distal crest
    for i in (0, 1):
        rmark(t, i, NO_POST, "post_head", "post_tip"); rmark(t, i, CUT, "apex")
    drop(t, "finish_line.mesial", "finish_line.distal", "crest.mesial")
    t = tooth("32"); t.reference("receptor")                        # CEJ pair and apex
    drop(t, "finish_line.distal")
    t = tooth("28", ("mesiobuccal", "distobuccal", "palatal")); t.reference("receptor")   # no axis
    for i in (0, 1, 2):
        rdrop(t, i, "post_head"); rdrop(t, i, "apex")
    drop(t, "crest.mesial", "crest.distal")
    t.doc["clinical"].update(ferrule_mm={"buccal": 1.5, "lingual": {"value": 2.0, "sd": 0.3}},
                             wall_mm={"buccal": {"value": 1.1, "by": "calliper"}})
    t = tooth("41"); drop(t, "finish_line.mesial", "cej.mesial")    # no reference
    t.doc["clinical"].update(ferrule_mm={"buccal": 1.5}, wall_mm={"lingual": 1.2})

    # -- an instrument but no tooth axis (26-29)
    t = tooth("42"); t.reference("instrument")
    drop(t, "finish_line.mesial", "cej.mesial"); rdrop(t, 0, "post_head")
    t.doc["clinical"]["planned_crown_length_mm"] = 9.0; drop(t, "crown_edge")
    t = tooth("43"); t.reference("instrument"); t.reference("receptor")
    mark(t, HIDDEN, "finish_line.mesial", "finish_line.distal", "cej.distal"); rmark(t, 0, CUT, "apex")
    rmark(t, 0, NO_POST, "post_head", "post_tip"); t.doc["roots"][0]["canal"] = []
    t = tooth("48", ("mesial", "distal")); furcated(t); t.reference("instrument", 3)
    drop(t, "finish_line.mesial", "finish_line.distal", "cej.mesial", "crown_edge")
    rdrop(t, 0, "post_head", "apex"); rmark(t, 1, HIDDEN, "post_tip"); rdrop(t, 1, "orifice")
    t.doc["roots"][0]["canal"] = []; t.doc["roots"][0]["sections"] = t.doc["roots"][0]["sections"][:1]
    t = tooth("17", ("buccal", "palatal")); t.reference("instrument")   # M, but no axis
    for i in (0, 1):
        rdrop(t, i, "apex", "post_head")
    drop(t, "crest.mesial", "crest.distal"); t.canal(t.doc["roots"][1], 1)

    # -- crest, denominators, curvature (30-41)
    t = tooth("11"); t.reference("instrument"); drop(t, "crest.distal")
    t = tooth("46", ("mesial", "distolingual", "distobuccal")); furcated(t); t.reference("instrument")
    mark(t, HIDDEN, "crest.mesial"); drop(t, "crown_edge"); t.doc["clinical"]["planned_crown_length_mm"] = {"value": 8.5, "by": "calliper"}
    for snap_refs, fdi in ((("receptor",), "22"), (("instrument", "width"), "33")):  # crest line parallel
        t = tooth(fdi, turn=0, snap=True, mirrored=False)
        for kind in snap_refs:
            t.reference(kind)
        for side, s in (("mesial", 3.0), ("distal", 5.0)):
            put(t, "crest." + side, s, 2.9)
        t.doc["roots"][0]["landmarks"]["curve_start"] = t.px(7, 1.0)
    t = tooth("34"); t.reference("instrument"); put(t, "core_top", -1.5, 0.1); put(t, "crown_edge", 0.6)   # small
    t.canal(t.doc["roots"][0], 2)
    t = tooth("12", technique="bisecting"); t.reference("instrument"); put(t, "core_top", 2.0)
    rput(t, 0, "apex", 0.9); rput(t, 0, "filling_tip", 1.5)            # short root, negative core
    t = tooth("45"); t.reference("instrument"); t.reference("receptor")
    t.doc["clinical"].update(planned_core_height_mm={"value": 0.4, "sd": 0.1}, planned_crown_length_mm=0.3)
    drop(t, "crown_edge"); s = t.doc["roots"][0]["sections"][0]["points"]
    s[0], s[3] = t.px(2.5, 0.12, 0.01), t.px(2.5, -0.12, 0.01)
    t = tooth("13"); t.reference("width"); rput(t, 0, "apex", 2.7); put(t, "crest.mesial", 3, 2.8); put(t, "crest.distal", 3.1, -2.8)
    t = tooth("23"); t.reference("instrument"); straight(t, 0, 3.4)
    t = tooth("24", ("buccal", "palatal")); t.reference("instrument"); straight(t, 0, 4.4); straight(t, 1, 5.5)
    t = tooth("37", ("mesial", "distal")); furcated(t, False); t.reference("scan"); straight(t, 0, 5.25); straight(t, 1, 28)
    t = tooth("21", aspect=1.25); t.reference("sphere", 4); straight(t, 0, -6)

    # -- planned points, fillings, canals (42-59)
    t = tooth("15"); t.reference("instrument"); t.reference("width")
    for n in ("core_base", "core_top", "crown_edge"):
        if n in t.doc["landmarks"]:
            plan(t, None, n)
    plan(t, 0, "post_tip"); plan(t, 0, "post_head"); plan(t, None, "finish_line.mesial", sd_px=2.5)
    plan(t, None, "wall_top.distal")
    t = tooth("47", ("mesial", "distal"), technique="unknown"); furcated(t); t.reference("receptor")
    plan(t, 0, "post_tip", sd_px=5); plan(t, 1, "post_tip"); plan(t, None, "furcal_crest")
    t.doc["roots"][0]["landmarks"]["apex"]["sd_px"] = 0
    t = tooth("14", ("buccal", "palatal"), technique="paralleling"); t.reference("instrument", 3)
    for n, m in list(t.doc["landmarks"].items()):
        m["sd_px"] = 0
    plan(t, 1, "orifice"); rdrop(t, 0, "orifice"); t.doc["roots"][0]["canal"][0]["sd_px"] = 7
    t = tooth("26", ("mesiobuccal", "distobuccal", "palatal")); furcated(t); t.reference("instrument"); t.reference("receptor")
    rmark(t, 0, NO_FILLING, "filling_top", "filling_tip"); rmark(t, 1, NO_FILLING, "filling_top", "filling_tip")
    rmark(t, 1, NO_POST, "post_head", "post_tip"); rmark(t, 2, NO_POST, "post_head", "post_tip")
    t.doc["roots"][1]["canal"] = []
    t = tooth("16", ("mesiobuccal", "distobuccal", "palatal"), aspect=0.8); furcated(t); t.reference("instrument", 5)
    rput(t, 0, "filling_top", 6.5); rput(t, 1, "filling_tip", 16.5); rput(t, 2, "filling_top", 6.0); rput(t, 2, "filling_tip", 16.4)
    for i in (0, 1, 2):
        t.canal(t.doc["roots"][i], (2, 9, 1)[i])
    t = tooth("36", ("mesiolingual", "mesiobuccal", "distal"), mirrored=True); furcated(t); t.reference("sphere", 4); t.reference("scan")
    for i in (0, 1, 2):
        t.canal(t.doc["roots"][i], (9, 5, 2)[i], 3.5, 9.5)
        rput(t, i, "post_tip", 8.0 + i, state="present")
    rput(t, 0, "filling_tip", 16.0)
    t = tooth("43", aspect=1.25); t.reference("instrument"); t.reference("scan", magnification=1.02)
    t.canal(t.doc["roots"][0], 9, 4.0, 8.0); rput(t, 0, "filling_top", 7.0)
    t = tooth("38", ("mesial", "distal")); furcated(t); t.reference("receptor"); t.doc["roots"][0]["canal"] = []
    t.canal(t.doc["roots"][1], 1); rdrop(t, 1, "orifice"); rdrop(t, 0, "orifice"); rput(t, 0, "filling_top", 6.3); rput(t, 1, "filling_tip", 17)
    t = tooth("44"); t.reference("instrument", tolerance_mm=0.2); t.doc["uncertainty"].update(placing_mm=0.08)
    rmark(t, 0, NO_FILLING, "filling_top", "filling_tip"); t.doc["clinical"]["planned_core_height_mm"] = 5.0
    t = tooth("18", ("buccal", "palatal"), technique="bisecting"); t.reference("instrument"); t.doc["uncertainty"].update(parallax_depth_mm=0)
    mark(t, HIDDEN, "wall_top.mesial", "wall_top.distal", "core_base"); furcated(t)
    t = tooth("48", ("mesial", "distal"), technique="unknown"); t.reference("width"); t.reference("instrument", 3)
    t.doc["uncertainty"].update(angulation_deg=8, placing_mm=0.0); t.doc["calibration"]["ratio_sd"] = 0.02
    put(t, "furcation", 4)
    t = tooth("32", technique="paralleling"); t.reference("receptor"); t.reference("instrument", tolerance_mm=0.0)
    t.doc["uncertainty"].update(placing_mm=0.01); t.doc["clinical"].update(
        planned_core_height_mm={"value": 4.5, "by": "calliper"}, planned_crown_length_mm={"value": 10.0, "sd": 0.0},
        wall_mm={"buccal": 1.3}, ferrule_mm={"lingual": {"value": 2.2, "by": "calliper", "sd": 0.15}})
    t = tooth("42"); t.reference("instrument"); put(t, "crest.mesial", 1.0, 2.7); put(t, "crest.distal", 1.3, -2.6)
    rput(t, 0, "post_tip", 0.2); mark(t, HIDDEN, "crown_edge"); t.doc["clinical"]["planned_crown_length_mm"] = {"value": 9.5}
    t = tooth("27", ("mesiobuccal", "distobuccal", "palatal")); t.reference("instrument"); t.reference("sphere", 3)
    mark(t, ABSENT, "cej.mesial", "bone_peak.distal"); mark(t, HIDDEN, "core_top", "crest.distal"); drop(t, "wall_top.mesial", "furcation")
    rmark(t, 0, HIDDEN, "curve_start", "filling_top"); rdrop(t, 1, "filling_tip", "curve_start"); rmark(t, 2, HIDDEN, "post_tip", "orifice")
    mark(t, HIDDEN, "furcal_crest"); t.doc["roots"][2]["canal"] = []
    t = tooth("17", ("mesiobuccal", "distobuccal", "palatal"), aspect=1.25); furcated(t, False); t.reference("scan")
    drop(t, "crown_edge"); t.doc["roots"][1]["sections"] = []; t.canal(t.doc["roots"][0], 2)
    t = tooth("25", aspect=0.8, technique="unknown"); t.reference("instrument", 5); t.reference("receptor")
    t.doc["roots"][0]["canal"] = []; rmark(t, 0, ABSENT, "curve_start")
    t = tooth("31", turn=91); t.reference("instrument"); t.reference("instrument"); drop(t, "finish_line.mesial", "finish_line.distal")
    mark(t, ABSENT, "cej.mesial"); rdrop(t, 0, "filling_top"); rmark(t, 0, HIDDEN, "filling_tip"); drop(t, "crown_edge")
    t = tooth("35", turn=-178, aspect=1.25); t.reference("width"); t.reference("scan", magnification=1.0, magnification_sd=0.0)
    t.doc["uncertainty"].update(placing_mm=0.2, parallax_depth_mm=3, angulation_deg=12); rmark(t, 0, NO_FILLING, "filling_top", "filling_tip")
    rmark(t, 0, NO_POST, "post_head", "post_tip"); t.canal(t.doc["roots"][0], 9)
    return [t.finish() for t in cases]


def straight(t, i, degrees):
    """Give root i a canal that turns by so many degrees at its curve start."""
    root = t.doc["roots"][i]
    base = root["way"](1)
    bend = math.tan(math.radians(degrees))

    def way(s):
        return base + max(0.0, s - 7) * bend
    held, t.noise = t.noise, lambda sd: 0.0
    root["canal"] = [t.px(s, way(s)) for s in (1.0, 4.0, 7.0, 10.0, 13.0)]
    root["landmarks"]["curve_start"] = t.px(7, way(7))
    t.noise = held


def main():
    folder = sys.argv[1]
    os.makedirs(folder, exist_ok=True)
    for n, doc in enumerate(make()):
        with open(os.path.join(folder, "2-%03d.case.json" % n), "w", encoding="utf-8") as file:
            parts = {k: json.dumps(v, separators=(",", ":")) for k, v in doc.items()}
            parts["roots"] = "[\n%s]" % ",\n".join(
                json.dumps(r, separators=(",", ":")) for r in doc["roots"])
            file.write("{%s}\n" % ",\n".join('"%s":%s' % part for part in parts.items()))


if __name__ == "__main__":
    main()
