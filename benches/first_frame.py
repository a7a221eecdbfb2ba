"""From the start of the program to its first picture, on a display that nobody sees.

    cargo build --release && python3 benches/first_frame.py [ROUNDS]

Needs Xvfb and libX11. Each round starts the program anew with a home of its own, so that the sample opens by itself,
and looks at the display until there is something on it (first frame) and until many greys are (the film). The reference,
taken in turn, is an interpreter that does nothing. No window manager runs: how soon one maps a window is not ours.
"""

import ctypes
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROUNDS = int(sys.argv[1]) if len(sys.argv) > 1 else 15
PROGRAM = os.environ.get("CRESTGAUGE", "target/release/crestgauge")
WIDTH, HEIGHT = 1280, 800
Z_PIXMAP = 2


class Display:
    """A display, and which colours are on it."""

    def __init__(self):
        reader, writer = os.pipe()
        command = ["Xvfb", "-displayfd", str(writer), "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-noreset"]
        self.server = subprocess.Popen(command, pass_fds=[writer], stderr=subprocess.DEVNULL)
        os.close(writer)
        with os.fdopen(reader) as pipe:
            self.name = f":{pipe.readline().strip()}"
        self.x = ctypes.CDLL("libX11.so.6")
        self.x.XOpenDisplay.restype = ctypes.c_void_p
        self.x.XDefaultRootWindow.argtypes = [ctypes.c_void_p]
        self.x.XDefaultRootWindow.restype = ctypes.c_ulong
        self.x.XGetImage.restype = ctypes.c_void_p
        self.x.XGetImage.argtypes = [ctypes.c_void_p, ctypes.c_ulong] + [ctypes.c_int] * 2 + [
            ctypes.c_uint,
            ctypes.c_uint,
            ctypes.c_ulong,
            ctypes.c_int,
        ]
        self.x.XGetPixel.argtypes = [ctypes.c_void_p, ctypes.c_int, ctypes.c_int]
        self.x.XGetPixel.restype = ctypes.c_ulong
        self.x.XDestroyImage.argtypes = [ctypes.c_void_p]
        self.connection = self.x.XOpenDisplay(self.name.encode())
        self.root = self.x.XDefaultRootWindow(self.connection)

    def colours(self):
        """Colours along a line down the film's part of the window."""
        image = self.x.XGetImage(self.connection, self.root, 420, 0, 1, HEIGHT, 0xFFFFFFFF, Z_PIXMAP)
        colours = {self.x.XGetPixel(image, 0, y) for y in range(0, HEIGHT, 2)}
        self.x.XDestroyImage(image)
        return colours


def until(begun, is_so):
    while not is_so():
        if time.perf_counter() - begun > 60:
            raise SystemExit("no picture after a minute")
        time.sleep(0.001)
    return time.perf_counter() - begun


def main():
    display = Display()
    frames, films, idle = [], [], []
    try:
        for _ in range(ROUNDS):
            begun = time.perf_counter()
            subprocess.run([sys.executable, "-c", "pass"], check=True)
            idle.append(time.perf_counter() - begun)
            home = tempfile.mkdtemp()
            environment = {**os.environ, "DISPLAY": display.name, "HOME": home, "XDG_STATE_HOME": home}
            environment.pop("WAYLAND_DISPLAY", None)
            begun = time.perf_counter()
            program = subprocess.Popen([PROGRAM], env=environment, stderr=subprocess.DEVNULL)
            frames.append(until(begun, lambda: len(display.colours()) > 2))
            films.append(until(begun, lambda: len(display.colours()) > 40))
            program.kill()
            program.wait()
            until(begun, lambda: len(display.colours()) == 1)
            shutil.rmtree(home)
    finally:
        display.server.kill()
        display.server.wait()
    for name, times in [("first frame", frames), ("first frame with the film", films), ("idle interpreter", idle)]:
        middle, least = statistics.median(times), min(times)
        print(f"{name}: median {1000 * middle:.0f} ms, least {1000 * least:.0f} ms, {middle / statistics.median(idle):.1f} x")


main()
