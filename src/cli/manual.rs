//! The manual: one page for all commands, from the same definition as help and completions.

use super::arguments::definition;
use clap_mangen::Man;
use std::io;

/// What no definition of options holds.
const CLOSING: &str = "\
.SH EXIT STATUS
.TP
0
Done, whatever the verdicts.
.TP
1
Some input could not be used, and everything else was done; or an output exists and \\-\\-force is missing.
.TP
2
The command line itself is wrong.
.SH ENVIRONMENT
.TP
CRESTGAUGE_REFERENCES
A file of reference objects, as by \\-\\-references.
.TP
NO_COLOR
Where it is set to anything, nothing is coloured; off a terminal nothing ever is.
";

/// The page, as troff: `crestgauge man | man -l -` shows it.
pub(super) fn page() -> io::Result<String> {
    let mut definition = definition();
    definition.build();
    let mut page = Vec::new();
    let main = Man::new(definition.clone());
    main.render_title(&mut page)?;
    main.render_name_section(&mut page)?;
    main.render_synopsis_section(&mut page)?;
    main.render_description_section(&mut page)?;
    let mut text = String::from_utf8_lossy(&page).into_owned();
    for command in definition.get_subcommands().filter(|command| command.get_name() != "help") {
        let mut part = Vec::new();
        let man = Man::new(command.clone());
        man.render_description_section(&mut part)?;
        man.render_synopsis_section(&mut part)?;
        man.render_options_section(&mut part)?;
        // The sections of a page of its own become parts of this one.
        let part = String::from_utf8_lossy(&part)
            .replace(".SH DESCRIPTION\n", "")
            .replace(".SH SYNOPSIS\n", ".PP\n")
            .replace(".SH OPTIONS\n", ".SS OPTIONS\n");
        text = format!("{text}.SH {}\n{part}", command.get_name().to_uppercase());
    }
    text.push_str(CLOSING);
    Ok(text)
}
