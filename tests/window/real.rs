//! The program itself in a window of its own, on a display that nobody sees. It needs Xvfb, openbox, xdotool and
//! `ImageMagick`'s `import`, which `tests/run` installs.

#![cfg(target_os = "linux")]

use crate::desk::{Desk, ENGINE, sample};
use crestgauge::case::{Landmark, Side, read};
use crestgauge::editor::OpenCase;
use crestgauge::viewer::remembered::Remembered;
use image::GenericImageView as _;
use std::collections::HashSet;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// A process that does not outlive its test.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A display with a window manager.
struct Display {
    name: String,
    // Dropped in this order.
    _manager: Running,
    _server: Running,
    _one: MutexGuard<'static, ()>,
}

fn start(command: &mut Command) -> Running {
    let child = command.stderr(Stdio::null()).spawn();
    Running(child.unwrap_or_else(|error| panic!("{command:?}: {error}; tests/run installs what is needed")))
}

/// One display at a time: a machine with two cores has enough to draw.
static ONE: Mutex<()> = Mutex::new(());

/// Looks again and again until there is something.
fn wait<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let began = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(began.elapsed() < Duration::from_mins(1), "waited for {what} in vain");
        std::thread::sleep(Duration::from_millis(10));
    }
}

impl Display {
    fn new() -> Self {
        let one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
        // The server chooses a display that is free and says which, once it is ready.
        let mut server = Command::new("Xvfb");
        server.args(["-displayfd", "1", "-screen", "0", "1400x900x24", "-noreset", "-nolisten", "tcp"]);
        let mut server = start(server.stdout(Stdio::piped()));
        let mut number = String::new();
        BufReader::new(server.0.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let name = format!(":{}", number.trim());
        let manager = start(Command::new("openbox").env("DISPLAY", &name).stdout(Stdio::null()));
        let display = Self { name, _manager: manager, _server: server, _one: one };
        wait("the window manager", || (!display.xdotool(&["get_desktop"]).is_empty()).then_some(()));
        display
    }

    fn program(&self, home: &Path, file: Option<&Path>) -> Program<'_> {
        let mut command = Command::new(env!("CARGO_BIN_EXE_crestgauge"));
        command.args(file).env("DISPLAY", &self.name).env_remove("WAYLAND_DISPLAY");
        command.env("HOME", home).env("XDG_STATE_HOME", home.join("state"));
        std::fs::create_dir_all(home).unwrap();
        let complaints = home.join("complaints");
        let running =
            command.stderr(std::fs::File::create(&complaints).unwrap()).spawn().map(Running).unwrap();
        let mut program = Program { display: self, running, window: String::new() };
        program.window = wait("a window", || {
            let ended = program.running.0.try_wait().unwrap();
            assert!(ended.is_none(), "{ended:?}: {}", std::fs::read_to_string(&complaints).unwrap());
            let found = program.display.xdotool(&["search", "--onlyvisible", "--name", "crestgauge"]);
            found.lines().next().map(str::to_owned)
        });
        program.display.xdotool(&["windowactivate", "--sync", &program.window]);
        program
    }

    /// What `xdotool` says; nothing where it fails, such as on finding no window yet.
    fn xdotool(&self, arguments: &[&str]) -> String {
        let output = Command::new("xdotool").args(arguments).env("DISPLAY", &self.name).output();
        String::from_utf8(output.expect("xdotool, which tests/run installs").stdout).unwrap()
    }
}

/// The program and its window.
struct Program<'a> {
    display: &'a Display,
    running: Running,
    window: String,
}

impl Program<'_> {
    fn key(&self, keys: &str) {
        self.display.xdotool(&["key", keys]);
    }

    fn type_text(&self, text: &str) {
        self.display.xdotool(&["type", "--delay", "12", text]);
    }

    fn screenshot(&self) -> Option<image::DynamicImage> {
        let output = Command::new("import")
            .args(["-window", &self.window, "png:-"])
            .env("DISPLAY", &self.display.name)
            .output()
            .expect("import, which tests/run installs");
        image::load_from_memory(&output.stdout).ok()
    }

    /// A picture once it is not blank: the film brings many greys.
    fn picture(&self) -> image::DynamicImage {
        wait("a picture", || {
            let picture = self.screenshot()?;
            let colours: HashSet<_> = picture.pixels().map(|(_, _, colour)| colour).collect();
            (colours.len() > 60).then_some(picture)
        })
    }

    /// A picture that nothing is changed of any more.
    fn still(&self) -> image::DynamicImage {
        let mut before = self.picture();
        wait("the picture to stand still", || {
            let now = self.picture();
            let is_still = now == before;
            before = now;
            is_still.then(|| before.clone())
        })
    }

    fn ended(&mut self) -> ExitStatus {
        wait("the program to end", || self.running.0.try_wait().unwrap())
    }

    fn is_running(&mut self) -> bool {
        self.running.0.try_wait().unwrap().is_none()
    }

    /// Has the window manager ask the window to close, as the button of its frame does.
    fn close(&self) {
        self.key("alt+F4");
    }
}

/// The sample's case with one landmark still to be placed, and its film.
fn case(desk: &Desk) -> PathBuf {
    let mut case = sample();
    case.landmarks.marks.remove(&Landmark::WallTop.on(Side::Mesial));
    desk.write("tooth.case.json", &case)
}

fn unsaved(desk: &Desk) -> PathBuf {
    desk.path(".tooth.case.json.unsaved")
}

/// Edits by the keyboard, after a click that brings it to the film: the landmark that is missing is aimed at, placed at
/// the cursor, and nudged.
fn begin_work(program: &Program<'_>, desk: &Desk) {
    program.display.xdotool(&["mousemove", "--window", &program.window, "60", "400"]);
    let before = program.still();
    program.display.xdotool(&["click", "1"]);
    wait("the ring around the film", || (program.still() != before).then_some(()));
    program.key("Tab");
    program.still();
    wait("work to be put by", || {
        program.key("Return");
        program.key("Right");
        unsaved(desk).exists().then_some(())
    });
}

#[test]
fn the_first_frame_shows_the_sample_and_the_keyboard_reaches_it() {
    let (display, desk) = (Display::new(), Desk::new());
    let home = desk.path("home");
    let mut program = display.program(&home, None);
    let picture = program.picture();
    assert!(picture.width() >= 1000 && picture.height() >= 700, "{}x{}", picture.width(), picture.height());
    // By the keyboard alone to another case, which is then remembered.
    let file = case(&desk);
    let before = program.still();
    program.key("ctrl+shift+o");
    wait("the question", || differs(&before, &program.picture()).then_some(()));
    program.still();
    program.type_text(file.to_str().unwrap());
    program.still();
    program.key("Return");
    wait("the case to be opened", || {
        let (remembered, _) = Remembered::read(Some(&home.join("state/crestgauge")));
        (remembered.recent.first() == Some(&file)).then_some(())
    });
    program.key("ctrl+q");
    assert!(program.ended().success());
    // The next time nothing is opened unasked, and the window is there all the same.
    let mut program = display.program(&home, None);
    program.close();
    assert!(program.ended().success());
}

#[test]
fn a_window_with_unsaved_work_asks_before_it_closes() {
    let (display, desk) = (Display::new(), Desk::new());
    let file = case(&desk);
    let before = std::fs::read(&file).unwrap();
    let mut program = display.program(&desk.path("home"), Some(&file));
    program.picture();
    begin_work(&program, &desk);
    // The answers in a row: stay, which changes nothing, and then go on without saving.
    for (presses, ends) in [(2, false), (1, true)] {
        let before = program.still();
        program.close();
        wait("the question", || differs(&before, &program.picture()).then_some(()));
        for _ in 0..presses {
            // Two presses within one frame would count as one.
            let before = program.still();
            program.key("Tab");
            wait("the keyboard to move", || (program.still() != before).then_some(()));
        }
        let asked = program.still();
        program.key("Return");
        if ends {
            assert!(program.ended().success());
        } else {
            wait("the question to go", || differs(&asked, &program.picture()).then_some(()));
            assert!(program.is_running() && unsaved(&desk).exists());
        }
    }
    assert!(!unsaved(&desk).exists(), "what was given up is not kept");
    assert_eq!(std::fs::read(&file).unwrap(), before);
}

/// Whether a good part of the middle of two pictures differs, as where a question stands over it.
fn differs(one: &image::DynamicImage, other: &image::DynamicImage) -> bool {
    let (width, height) = (one.width(), one.height());
    let middle = (width / 3..2 * width / 3).flat_map(|x| (height / 3..2 * height / 3).map(move |y| (x, y)));
    let changed = middle.filter(|(x, y)| one.get_pixel(*x, *y) != other.get_pixel(*x, *y)).count();
    changed > (width / 3 * height / 3) as usize / 10
}

#[test]
fn five_kills_lose_nothing_that_was_put_by() {
    let (display, desk) = (Display::new(), Desk::new());
    let file = case(&desk);
    // How many nudges come before each kill: the moments fall anywhere between saving and drawing.
    for nudges in [0, 3, 11, 26, 47] {
        let mut program = display.program(&desk.path("home"), Some(&file));
        program.picture();
        begin_work(&program, &desk);
        for _ in 0..nudges {
            program.key("Right");
        }
        program.running.0.kill().unwrap();
        program.ended();
        read(&file).unwrap();
        let open = OpenCase::open(&file, ENGINE.clone(), Some(desk.path("home/state/crestgauge"))).unwrap();
        assert!(open.spoiled().is_empty(), "{:?}", open.spoiled());
        assert!(!open.offers().is_empty(), "after {nudges} nudges");
        for offer in open.offers() {
            assert!(offer.unsaved.case.landmarks.marks.contains_key(&Landmark::WallTop.on(Side::Mesial)));
            std::fs::remove_file(&offer.file).unwrap();
        }
    }
}
