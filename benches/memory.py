"""Memory of the real window under random input, minute by minute.

    cargo build --release && python3 benches/memory.py [MINUTES [SEED [look]]]

Needs Xvfb and xdotool. The program runs on a display that nobody sees, with a home of its own and the sample open, and
without a window manager, so that it fills the display. Input is drawn at random: the pointer moves, clicks, drags and
turns its wheel over film and worksheet, and keys are pressed that change the case, the view and the tone. Left out are
the menus and the keys that close the case or the program; should it end all the same, it is said and started again.
With `look`, nothing changes the case: the pointer moves, the wheel turns, and keys change the view and the tone. What grows
in the one and not in the other is the history of undo, which has no limit.
Each line is a minute: how many inputs there were so far, and the memory held (VmRSS) as Linux states it, in MiB.
"""

import os
import pathlib
import random
import subprocess
import sys
import tempfile
import time

MINUTES = int(sys.argv[1]) if len(sys.argv) > 1 else 60
SEED = int(sys.argv[2]) if len(sys.argv) > 2 else 1
LOOKS = sys.argv[3:] == ["look"]
PROGRAM = os.path.abspath(os.environ.get("CRESTGAUGE", "target/release/crestgauge"))
WIDTH, HEIGHT = 1280, 800
MENUS = 60
"""What lies above is the menus and the banner, points."""

KEYS = """Tab shift+Tab Return Escape Left Right Up Down ctrl+Left shift+Up h a p k Delete f 1 plus minus z r
    bracketleft bracketright m u i l s t g F6 F1 ctrl+z ctrl+z ctrl+shift+z ctrl+y ctrl+t ctrl+shift+t ctrl+s b""".split()
LOOKING_KEYS = "1 f plus minus z bracketleft bracketright m u i l s t F1 b ctrl+t ctrl+shift+t".split()


def display():
    """Starts a display; gives its server and its name."""
    reader, writer = os.pipe()
    command = ["Xvfb", "-displayfd", str(writer), "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-noreset", "-nolisten", "tcp"]
    server = subprocess.Popen(command, pass_fds=[writer], stderr=subprocess.DEVNULL)
    os.close(writer)
    with os.fdopen(reader) as pipe:
        return server, f":{pipe.readline().strip()}"


class Program:
    """The program in its window."""

    def __init__(self, name, home):
        keep = {key: value for key, value in os.environ.items() if key != "WAYLAND_DISPLAY"}
        self.environment = {**keep, "DISPLAY": name, "HOME": home, "XDG_STATE_HOME": f"{home}/state"}
        self.process = subprocess.Popen(
            [PROGRAM], env=self.environment, cwd=home, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        window = ""
        while not window:
            if self.process.poll() is not None:
                sys.exit(f"{PROGRAM} ended with {self.process.returncode}")
            window = self.do("search", "--onlyvisible", "--name", "crestgauge").split("\n")[0]
            time.sleep(0.2)
        self.do("windowmove", window, "0", "0", "windowsize", window, str(WIDTH), str(HEIGHT), "windowfocus", window)

    def do(self, *arguments):
        """What `xdotool` says."""
        return subprocess.run(
            ["xdotool", *arguments], env=self.environment, capture_output=True, text=True, check=False
        ).stdout

    def runs(self):
        return self.process.poll() is None

    def held(self):
        """Memory held, MiB."""
        status = pathlib.Path(f"/proc/{self.process.pid}/status").read_text()
        return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024


def one_input(random_):
    """What to have xdotool do next."""
    place = [str(random_.randrange(4, WIDTH - 4)), str(random_.randrange(MENUS, HEIGHT - 4))]
    other = [str(random_.randrange(4, WIDTH - 4)), str(random_.randrange(MENUS, HEIGHT - 4))]
    kind = random_.random()
    if LOOKS:
        if kind < 0.50:
            return ["mousemove", *place]
        if kind < 0.70:
            return ["mousemove", *place, "click", "--repeat", "3", random_.choice("45")]
        return ["key", random_.choice(LOOKING_KEYS)]
    if kind < 0.30:
        return ["mousemove", *place]
    if kind < 0.50:
        return ["mousemove", *place, "click", "1"]
    if kind < 0.60:
        return ["mousemove", *place, "mousedown", "1", "mousemove", *other, "mouseup", "1"]
    if kind < 0.70:
        return ["mousemove", *place, "click", "--repeat", "3", random_.choice("45")]
    return ["key", random_.choice(KEYS)]


def main():
    random_ = random.Random(SEED)
    server, name = display()
    try:
        with tempfile.TemporaryDirectory() as home:
            program = Program(name, home)
            time.sleep(5)
            print(f"{'minute':>6} {'inputs':>8} {'VmRSS, MiB':>11}")
            print(f"{0:>6} {0:>8} {program.held():>11.1f}", flush=True)
            begun, inputs = time.monotonic(), 0
            for minute in range(1, MINUTES + 1):
                while time.monotonic() - begun < 60 * minute:
                    if not program.runs():
                        print(f"it ended with {program.process.returncode} and was started again", flush=True)
                        program = Program(name, home)
                    program.do(*one_input(random_))
                    inputs += 1
                print(f"{minute:>6} {inputs:>8} {program.held():>11.1f}", flush=True)
            program.process.terminate()
            program.process.wait()
    finally:
        server.terminate()


main()
