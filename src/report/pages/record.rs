//! The record: all that was found and planned, on three pages at most.

use super::flow::{Section, column_width};
use super::piece::Setter;
use super::{Detail, findings, outlook, parts};
use crate::case::State;
use crate::report::plan::{card_lines, depth_lines};
use crate::report::subject::{Paper, Setting, Subject};

/// What a brief record says of what it leaves out.
const LEFT_OUT: &str = "For want of room, what could not be measured and the sources of the criteria are left out; \
`crestgauge measure` has them.";

pub(super) fn sections(
    setter: &mut Setter,
    subject: &Subject<'_>,
    setting: Setting,
    detail: Detail,
) -> Vec<Section> {
    let one = column_width(setting.paper, 1);
    let two = column_width(setting.paper, 2);
    let most_high = match setting.paper {
        Paper::A4 => 124.0,
        Paper::Letter => 112.0,
    };
    let mut sections = vec![parts::head(setter, subject, setting)];
    sections.push(parts::film(setter, subject, setting, most_high));
    let mut first = parts::cautions(setter, subject, one);
    first.push(setter.heading("VERDICTS", "", one));
    first.extend(findings::tally(setter, subject, one));
    sections.push(Section { columns: 1, pieces: first });

    let mut measured = findings::first_look(setter, subject, two);
    measured.extend(findings::findings(setter, subject, State::Present, two));
    measured.extend(findings::findings(setter, subject, State::Planned, two));
    measured.extend(findings::settling(setter, subject, two));
    if detail == Detail::Full {
        measured.extend(findings::wanting(setter, subject, two));
    }
    // One run of columns with the plan: of two, one above the other, nobody would know which goes on where.
    measured.extend(parts::sheet(setter, &depth_lines(subject.case, subject.plan), two));
    measured.extend(parts::sheet(setter, &card_lines(subject.plan), two));
    measured.extend(outlook::needs(setter, subject.plan, two));
    sections.push(Section { columns: 2, pieces: measured });

    let mut last = outlook::recovery(setter, subject, one);
    last.extend(outlook::options(setter, subject, one));
    if detail == Detail::Full {
        last.extend(findings::sources(setter, subject, one));
    }
    let left_out = (detail == Detail::Brief).then_some(LEFT_OUT);
    last.extend(parts::end(setter, subject, left_out, one));
    sections.push(Section { columns: 1, pieces: last });
    sections
}
