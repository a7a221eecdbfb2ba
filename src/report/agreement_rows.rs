//! The statistics of one quantity as rows for people, each with its interval or the reason why there is none.

use super::plot::fixed;
use crate::agreement::{Bounded, Compared, Stated};
use crate::quantity::Unit;
use crate::wording::decimals;

/// One statistic in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatisticRow {
    /// What it is.
    pub name: &'static str,
    /// Its value with its unit and 95 % interval, or why it is withheld.
    pub words: String,
    /// Whether it is given.
    pub is_given: bool,
}

/// Every statistic of a quantity over all columns, and those of one pair of columns.
pub fn statistic_rows(compared: &Compared, pair: usize) -> Vec<StatisticRow> {
    let unit = compared.quantity.unit();
    let digits = decimals(compared.within.given().map_or(1.0, |within| within.sd.value)).clamp(2, 3);
    let own = |bounded: Bounded| with_interval(bounded, digits, unit.suffix());
    let plain = |bounded: Bounded| with_interval(bounded, 2, "");
    let mut rows = vec![
        row("sd within teeth", &compared.within, |it| own(it.sd)),
        row("smallest detectable change", &compared.smallest_detectable_change, |it| own(*it)),
    ];
    if let Some(pair) = compared.pairs.get(pair) {
        rows.push(row("Dahlberg\u{2019}s error", &pair.dahlberg, |it| own(it.error)));
        rows.push(row("bias, first \u{2212} second", &pair.bland_altman, |it| own(it.bias)));
        rows.push(row("lower limit of agreement (interval approximate)", &pair.bland_altman, |it| {
            own(it.lower.limit)
        }));
        rows.push(row("upper limit of agreement (interval approximate)", &pair.bland_altman, |it| {
            own(it.upper.limit)
        }));
        rows.push(row("Lin\u{2019}s concordance", &pair.concordance, |it| plain(it.coefficient)));
    }
    match &compared.intraclass {
        Stated::Given(all) => {
            for (name, stated) in [
                ("ICC(1,1), one-way", &all.icc_1_1),
                ("ICC(2,1), absolute agreement", &all.icc_2_1),
                ("ICC(3,1), consistency", &all.icc_3_1),
                ("ICC(1,k), mean of all columns", &all.icc_1_k),
                ("ICC(2,k), mean of all columns", &all.icc_2_k),
                ("ICC(3,k), mean of all columns", &all.icc_3_k),
            ] {
                rows.push(row(name, stated, |it| plain(*it)));
            }
        }
        Stated::Withheld(why) => rows.push(StatisticRow {
            name: "intraclass correlations",
            words: why.to_string(),
            is_given: false,
        }),
    }
    rows
}

fn row<T>(name: &'static str, stated: &Stated<T>, words: impl Fn(&T) -> String) -> StatisticRow {
    match stated {
        Stated::Given(it) => StatisticRow { name, words: words(it), is_given: true },
        Stated::Withheld(why) => StatisticRow { name, words: why.to_string(), is_given: false },
    }
}

fn with_interval(bounded: Bounded, digits: usize, unit: &str) -> String {
    let [low, high] = bounded.interval.map(|end| fixed(end, digits));
    let unit = if unit == Unit::One.suffix() { String::new() } else { format!(" {unit}") };
    format!("{}{unit} ({low} to {high})", fixed(bounded.value, digits))
}
