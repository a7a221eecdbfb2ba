//! The commands of menus and shortcuts, each declared once: menus, shortcuts, help and tests go through this table.

use super::practice::Practising;
use super::reporting::Shows;
use super::session::Session;
use eframe::egui::{Key, KeyboardShortcut, ModifierNames, Modifiers};

/// Which menu a command stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Menu {
    /// Files and the program.
    File,
    /// Changes of the case.
    Case,
    /// How the film is seen.
    View,
    /// Learning, and what repeats are worth.
    Practice,
    /// Help.
    Help,
}

impl Menu {
    /// Every menu, in order.
    pub const ALL: [Self; 5] = [Self::File, Self::Case, Self::View, Self::Practice, Self::Help];

    /// Its title.
    pub const fn title(self) -> &'static str {
        match self {
            Self::File => "File",
            Self::Case => "Case",
            Self::View => "View",
            Self::Practice => "Practice",
            Self::Help => "Help",
        }
    }
}

/// Where a shortcut counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Wherever the keyboard is.
    Everywhere,
    /// Not while text is typed.
    OutsideText,
    /// While the keyboard is on the film.
    OnFilm,
    /// As long as the key is held, outside text; chosen from the menu, until it is chosen again.
    WhileHeld,
}

macro_rules! commands {
    ($($name:ident: $menu:ident, $title:literal, $hint:literal, $reach:ident, [$($key:expr),*];)+) => {
        /// A command.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Command { $(#[doc = $hint] $name),+ }

        impl Command {
            /// Every command, in the order of the menus.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The menu it stands in.
            pub const fn menu(self) -> Menu {
                match self { $(Self::$name => Menu::$menu),+ }
            }

            /// What it is called.
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title),+ }
            }

            /// What it does.
            pub const fn hint(self) -> &'static str {
                match self { $(Self::$name => $hint),+ }
            }

            /// Where its shortcuts count.
            pub const fn reach(self) -> Reach {
                match self { $(Self::$name => Reach::$reach),+ }
            }

            /// Its shortcuts, the one that menus show first.
            pub const fn shortcuts(self) -> &'static [KeyboardShortcut] {
                match self { $(Self::$name => const { &[$($key),*] }),+ }
            }
        }
    };
}

const fn ctrl(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::COMMAND, key)
}

const fn ctrl_shift(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), key)
}

const fn plain(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::NONE, key)
}

const fn shift(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::SHIFT, key)
}

commands! {
    Open: File, "Open film or case…", "choose a film or a case to open", Everywhere, [ctrl(Key::O)];
    OpenNamed: File, "Open by name…", "type the path of a film or a case", Everywhere, [ctrl_shift(Key::O)];
    OpenSample: File, "Open the sample", "opens the built-in sample: an invented tooth", Everywhere, [];
    FindFilm: File, "Find the film of the case…", "names the film that the case lies on, where it was moved or exported anew", Everywhere, [];
    Save: File, "Save", "writes the case into its file", Everywhere, [ctrl(Key::S)];
    SaveAs: File, "Save as…", "writes the case under another name", Everywhere, [ctrl_shift(Key::S)];
    NextFilm: File, "Next film of the folder", "opens the next film, or its case where one lies beside it", Everywhere, [ctrl(Key::PageDown)];
    PreviousFilm: File, "Previous film of the folder", "opens the film before, or its case where one lies beside it", Everywhere, [ctrl(Key::PageUp)];
    CopyTable: File, "Copy the table as text", "puts all numbers and verdicts on the clipboard, as a text to be read", Everywhere, [ctrl(Key::T)];
    CopyCsv: File, "Copy the table as CSV", "puts all measurements on the clipboard, for a spreadsheet", Everywhere, [ctrl_shift(Key::T)];
    Report: File, "Report pages", "shows the pages of a report in the film's place; they follow the case", Everywhere, [ctrl(Key::P)];
    WriteReport: File, "Write the report…", "writes the report as pages, picture, table or structured report", Everywhere, [ctrl_shift(Key::P)];
    Picture: File, "Drawing for the patient", "fills the screen with a sketch of the tooth, to turn the screen around with", OutsideText, [plain(Key::D)];
    Settings: File, "Settings…", "theme, size of the interface, tooth numbers", Everywhere, [ctrl(Key::Comma)];
    Close: File, "Close the case", "closes the case and asks where work is not saved", Everywhere, [ctrl(Key::W)];
    Quit: File, "Quit", "ends the program and asks where work is not saved", Everywhere, [ctrl(Key::Q)];
    Undo: Case, "Undo", "takes the last step back", OutsideText, [ctrl(Key::Z)];
    Redo: Case, "Redo", "makes the step taken back again", OutsideText, [ctrl_shift(Key::Z), ctrl(Key::Y)];
    Next: Case, "Next landmark", "aims at the next landmark to be placed", OnFilm, [plain(Key::Tab)];
    Previous: Case, "Previous landmark", "aims at the landmark before", OnFilm, [shift(Key::Tab)];
    Again: Case, "Place again from nothing…", "a new case on the same film and tooth; the earlier points are hidden", Everywhere, [ctrl(Key::R)];
    Hide: Case, "Mark as hidden", "the landmark exists and this film cannot show it", OutsideText, [plain(Key::H)];
    Absent: Case, "Mark as absent", "the landmark does not exist", OutsideText, [plain(Key::A)];
    Plan: Case, "Planned or present", "whether the landmark shows what is planned or what is there", OutsideText, [plain(Key::P)];
    Card: Case, "Card for the chair", "what an instrument's stop is set to, large enough to be read at arm's length", OutsideText, [plain(Key::K)];
    Delete: Case, "Delete", "deletes what is selected, as if it had never been placed", OutsideText, [plain(Key::Delete), plain(Key::Backspace)];
    Cancel: Case, "Cancel", "puts down what is aimed at, gives up what is half-placed", OutsideText, [plain(Key::Escape)];
    Fit: View, "Whole film", "shows the whole film", OutsideText, [plain(Key::F)];
    FullSize: View, "Full size", "one pixel of the film on one pixel of the screen", OutsideText, [plain(Key::Num1)];
    ZoomIn: View, "Larger", "magnifies the film", OutsideText, [plain(Key::Plus), plain(Key::Equals), shift(Key::Plus)];
    ZoomOut: View, "Smaller", "makes the film smaller", OutsideText, [plain(Key::Minus)];
    FollowNext: View, "Go to what comes next", "magnifies where the next landmark is likely to be, and stays with it from landmark to landmark", OutsideText, [plain(Key::Z)];
    Ruler: View, "Scratch ruler", "measures between any two places; belongs to no case and is never saved", OutsideText, [plain(Key::R)];
    TurnLeft: View, "Quarter turn left", "turns the picture, never a coordinate", OutsideText, [plain(Key::OpenBracket)];
    TurnRight: View, "Quarter turn right", "turns the picture, never a coordinate", OutsideText, [plain(Key::CloseBracket)];
    Mirror: View, "Mirror", "changes left and right of the picture, never a coordinate", OutsideText, [plain(Key::M)];
    Upright: View, "Upright, not mirrored", "shows the film as it is stored", OutsideText, [plain(Key::U)];
    Invert: View, "Invert black and white", "changes black and white of the picture", OutsideText, [plain(Key::I)];
    LocalContrast: View, "Local contrast", "raises contrast region by region; no grey value of the film changes", OutsideText, [plain(Key::L)];
    Sharpen: View, "Sharpen", "makes edges steeper on the screen; no grey value of the film changes", OutsideText, [plain(Key::S)];
    Compare: View, "Compare tones", "while the key is held: on the left as the film asks, on the right as it is toned", WhileHeld, [plain(Key::C)];
    Bare: View, "Bare film", "the film without anything that lies on it: while the key is held; chosen here, until it is chosen again", WhileHeld, [plain(Key::B)];
    ResetTone: View, "Tone as the film asks", "undoes window, gamma, inversion, local contrast and sharpening", OutsideText, [plain(Key::T)];
    ToneStrip: View, "Tone and turn", "shows or hides the strip under the film: histogram, window, gamma, angle", OutsideText, [plain(Key::G)];
    Switch: View, "Film or worksheet", "moves the keyboard from the film to the worksheet and back", Everywhere, [plain(Key::F6)];
    Theme: View, "Light or dark", "changes between the light and the dark theme", Everywhere, [];
    InterfaceLarger: View, "Interface larger", "makes letters and controls larger", Everywhere, [ctrl(Key::Plus), ctrl(Key::Equals)];
    InterfaceSmaller: View, "Interface smaller", "makes letters and controls smaller", Everywhere, [ctrl(Key::Minus)];
    InterfaceUsual: View, "Interface at its usual size", "letters and controls as large as the system asks", Everywhere, [ctrl(Key::Num0)];
    Practise: Practice, "Practise…", "choose a film whose truth is known, place it, and see yours beside it", Everywhere, [ctrl(Key::E)];
    FinishPlacing: Practice, "Finish and compare", "holds what is placed beside the key, and adds it to the history", Everywhere, [ctrl(Key::Enter)];
    NextPractice: Practice, "Next film to practise on", "another film, chosen as the last one", Everywhere, [ctrl_shift(Key::E)];
    Curves: Practice, "Learning curves…", "how you come along with each landmark, from the history", Everywhere, [ctrl(Key::J)];
    Agreement: Practice, "Agreement of repeats…", "how far repeated placings lie apart, with tables and plots", Everywhere, [ctrl(Key::G)];
    Guide: Help, "Guide", "walks a dentist and a student through one case each, without a network", Everywhere, [];
    Shortcuts: Help, "Shortcuts", "lists what keys and pointer do", OutsideText, [plain(Key::F1)];
    About: Help, "About, and what to be careful of", "version, cautions, licences", Everywhere, [];
}

/// A shortcut as it stands on the keys: `Ctrl+Shift+S`, `[`.
pub fn keys_words(keys: &KeyboardShortcut, is_mac: bool) -> String {
    let held = ModifierNames::NAMES.format(&keys.modifiers, is_mac);
    let key = keys.logical_key.symbol_or_name();
    if held.is_empty() { key.to_owned() } else { format!("{held}{}{key}", ModifierNames::NAMES.concat) }
}

impl Command {
    /// Whether it can be done now.
    pub fn is_enabled(self, session: &Session) -> bool {
        let work = session.work.as_ref();
        match self {
            Self::Open
            | Self::OpenNamed
            | Self::OpenSample
            | Self::Quit
            | Self::Theme
            | Self::InterfaceLarger
            | Self::InterfaceSmaller
            | Self::InterfaceUsual
            | Self::Settings
            | Self::Guide
            | Self::Shortcuts
            | Self::About
            | Self::Practise
            | Self::Curves
            | Self::Agreement
            | Self::Switch => true,
            Self::FinishPlacing => {
                work.is_some_and(|work| work.practice.as_ref().is_some_and(Practising::can_be_finished))
            }
            // The program keeps placings of a round itself; a proposed name would tell which film it is.
            Self::Save | Self::SaveAs => work.is_some_and(|work| !work.is_of_round()),
            Self::NextPractice => {
                work.is_some_and(|work| work.practice.as_ref().is_some_and(|it| it.compared.is_some()))
            }
            // What would show results, or lead to where they are.
            Self::Card
            | Self::FindFilm
            | Self::NextFilm
            | Self::PreviousFilm
            | Self::Again
            | Self::Report
            | Self::Picture
            | Self::WriteReport => work.is_some_and(|work| !work.hides_results()),
            Self::Undo => work.is_some_and(|work| work.open.next_undo().is_some()),
            Self::Redo => work.is_some_and(|work| work.open.next_redo().is_some()),
            Self::Hide | Self::Absent | Self::Plan => {
                session.reporting.shows.is_none() && work.is_some_and(|work| work.landmark_meant().is_some())
            }
            Self::Delete => {
                session.reporting.shows.is_none() && work.is_some_and(|work| work.open.selection().is_some())
            }
            Self::CopyTable | Self::CopyCsv => {
                work.is_some_and(|work| work.numbers.as_ref().is_ok() && !work.hides_results())
            }
            Self::Cancel => work.is_some() || session.help.is_some(),
            of_film if of_film.is_of_film() => work.is_some() && session.reporting.shows.is_none(),
            _ => work.is_some(),
        }
    }

    /// Whether it is about how the film is seen, or placed on, which nobody does while pages lie over it.
    const fn is_of_film(self) -> bool {
        matches!(
            self,
            Self::Next
                | Self::Previous
                | Self::FollowNext
                | Self::Ruler
                | Self::TurnLeft
                | Self::TurnRight
                | Self::Mirror
                | Self::Upright
                | Self::Invert
                | Self::LocalContrast
                | Self::Sharpen
                | Self::Compare
                | Self::Bare
                | Self::ResetTone
        )
    }

    /// Whether it saves the case or leaves it, so that whatever is being typed has to be taken in first.
    pub const fn settles(self) -> bool {
        matches!(
            self,
            Self::Open
                | Self::OpenNamed
                | Self::OpenSample
                | Self::FindFilm
                | Self::Save
                | Self::SaveAs
                | Self::NextFilm
                | Self::PreviousFilm
                | Self::Again
                | Self::CopyTable
                | Self::CopyCsv
                | Self::WriteReport
                | Self::FinishPlacing
                | Self::NextPractice
                | Self::Close
                | Self::Quit
        )
    }

    /// The title, naming the step for undo and redo.
    pub fn title_now(self, session: &Session) -> String {
        let is_round = session
            .work
            .as_ref()
            .is_some_and(|work| work.practice.as_ref().is_some_and(|practice| practice.placing.is_some()));
        if self == Self::FinishPlacing && is_round {
            return "Keep this placing and go on".to_owned();
        }
        let step = session.work.as_ref().and_then(|work| match self {
            Self::Undo => work.open.next_undo(),
            Self::Redo => work.open.next_redo(),
            _ => None,
        });
        let is_on = match self {
            Self::FollowNext => session.remembered.follows_next,
            Self::Compare => session.work.as_ref().is_some_and(|work| work.compares),
            Self::Bare => session.work.as_ref().is_some_and(|work| work.is_bare),
            Self::Report => session.reporting.shows == Some(Shows::Pages),
            Self::Ruler => session.work.as_ref().is_some_and(|work| work.ruler.is_some()),
            _ => false,
        };
        let title = if is_on { format!("{} (on)", self.title()) } else { self.title().to_owned() };
        step.map_or_else(|| title.clone(), |step| format!("{title}: {step}"))
    }
}
