//! `crestgauge plan`: a case in, depths and options out.

use super::arguments::Plan;
use super::console::{Exit, complain, print, style};
use super::measure::explain;
use crate::case::{self, ReadCase};
use crate::editor::Engine;
use crate::plan::{NoPlan, Wish, plan};
use crate::report;
use std::path::Path;

pub(super) fn run(arguments: &Plan) -> Exit {
    if arguments.json && arguments.case.is_none() {
        complain("crestgauge plan: --json needs a case; name a case file after it");
        return Exit::WrongUse;
    }
    match text(arguments) {
        Ok(text) => print(&text).into(),
        Err((exit, why)) => {
            complain(&why);
            exit
        }
    }
}

/// What is printed, or the exit code and the line that says why not.
fn text(arguments: &Plan) -> Result<String, (Exit, String)> {
    let failed = |why: String| (Exit::SomeFailed, why);
    let Engine { library, criteria } = super::engine(&arguments.means).map_err(failed)?;
    let (name, read) = if let Some(file) = &arguments.case {
        let mut read = case::read(file).map_err(|error| failed(explain(file, &error)))?;
        let folder = file.parent().unwrap_or(Path::new(""));
        read.cautions.extend(case::check_film(&read.case, folder, &arguments.bounds.into()));
        (file.display().to_string(), read)
    } else {
        let name = "built-in sample".to_owned();
        let read = case::sample().map_err(|error| failed(format!("{name}: {error}")))?;
        (name, read)
    };
    let ReadCase { case, cautions } = read;
    let wish = Wish {
        root: arguments.root,
        drill: arguments.drill.clone(),
        extrusion_share: arguments.extrusion_share,
    };
    let made = plan(&case, &library, &criteria, &wish, &cautions).map_err(|error| match error {
        NoPlan::UnknownObject(_) => failed(format!("{name}: {error}")),
        NoPlan::UnknownDrill { .. } | NoPlan::NoSuchRoot { .. } => {
            (Exit::WrongUse, format!("crestgauge plan: {name}: {error}"))
        }
    })?;
    if arguments.json {
        return report::plan_json(&made, &name)
            .map(|line| line + "\n")
            .map_err(|error| failed(format!("{name}: {error}")));
    }
    let text = report::plan_text(&name, &case, &made, style());
    Ok(if arguments.case.is_none() { format!("{}\n\n{text}", case::SAMPLE_BANNER) } else { text })
}
