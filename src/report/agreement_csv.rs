//! Agreement as CSV: one row a statistic.

use super::csv::{csv_record, number};
use crate::agreement::{Agreement, Bounded, Compared, Comparison, Pair, Stated, Within};

/// Header of an agreement's CSV: one row a statistic.
pub const AGREEMENT_HEADER: [&str; 14] = [
    "between",
    "observer",
    "first",
    "second",
    "kind",
    "id",
    "component",
    "statistic",
    "value",
    "low",
    "high",
    "unit",
    "n",
    "reason",
];

/// An agreement as CSV, without the header.
pub fn agreement_csv(agreement: &Agreement) -> String {
    let mut text = String::new();
    for comparison in &agreement.comparisons {
        for compared in &comparison.quantities {
            let mut row = Row::of(comparison, compared);
            row.statistics(&mut text, compared);
            for pair in &compared.pairs {
                (row.first, row.second) = (&pair.first, &pair.second);
                row.pair(&mut text, pair);
            }
        }
        for seen in &comparison.visibility {
            let row = Row { kind: "landmark", id: seen.landmark, unit: "1", ..Row::between(comparison) };
            let n = seen.placed + seen.unseen + seen.disputed;
            for (statistic, value) in
                [("placed", seen.placed), ("unseen", seen.unseen), ("disputed", seen.disputed)]
            {
                row.write(&mut text, statistic, &[value.to_string(), String::new(), String::new()], n, "");
            }
        }
    }
    for placing in &agreement.placing {
        let observer = placing.observer.as_deref().unwrap_or_default();
        let base = Row { between: "sittings", observer, kind: "landmark", ..Row::default() };
        let write = |text: &mut String, row: &Row<'_>, statistic, within: &Within| {
            row.given(text, statistic, within.sd, within.n);
        };
        write(&mut text, &Row { id: "every", unit: "mm", ..base }, "placing_mm", &placing.placing_mm);
        for it in &placing.landmarks {
            write(&mut text, &Row { id: it.landmark, unit: "mm", ..base }, "placing_mm", &it.placing_mm);
            write(&mut text, &Row { id: it.landmark, unit: "px", ..base }, "sd_px", &it.sd_px);
        }
    }
    text
}

/// What the rows of one quantity have in common.
#[derive(Clone, Copy, Default)]
struct Row<'a> {
    between: &'a str,
    observer: &'a str,
    first: &'a str,
    second: &'a str,
    kind: &'a str,
    id: &'a str,
    component: &'a str,
    unit: &'a str,
}

impl<'a> Row<'a> {
    fn between(comparison: &'a Comparison) -> Self {
        Self {
            between: comparison.between.word(),
            observer: comparison.observer.as_deref().unwrap_or_default(),
            ..Self::default()
        }
    }

    fn of(comparison: &'a Comparison, compared: &'a Compared) -> Self {
        let component = compared.quantity.component();
        Self {
            kind: if component.is_some() { "landmark" } else { "measurement" },
            id: compared.quantity.id(),
            component: component.map_or("", |it| it.word()),
            unit: compared.quantity.unit().code(),
            ..Self::between(comparison)
        }
    }

    fn write(&self, text: &mut String, statistic: &str, numbers: &[String; 3], n: usize, reason: &str) {
        let Self { between, observer, first, second, kind, id, component, unit } = *self;
        let [value, low, high] = numbers;
        let n = n.to_string();
        csv_record(
            text,
            [
                between, observer, first, second, kind, id, component, statistic, value, low, high, unit, &n,
                reason,
            ],
        );
    }

    fn given(&self, text: &mut String, statistic: &str, it: Bounded, n: usize) {
        let [low, high] = it.interval;
        self.write(text, statistic, &[it.value, low, high].map(|it| number(Some(it))), n, "");
    }

    fn stated<T>(
        &self,
        text: &mut String,
        statistic: &str,
        stated: &Stated<T>,
        of: impl Fn(&T) -> Bounded,
        n: usize,
    ) {
        match stated {
            Stated::Given(it) => self.given(text, statistic, of(it), n),
            Stated::Withheld(why) => {
                self.write(text, statistic, &Default::default(), n, why.word());
            }
        }
    }

    fn statistics(&self, text: &mut String, compared: &Compared) {
        let n = compared.n;
        self.stated(text, "within_sd", &compared.within, |it| it.sd, n);
        self.stated(text, "smallest_detectable_change", &compared.smallest_detectable_change, |it| *it, n);
        let plain = Self { unit: "1", ..*self };
        match &compared.intraclass {
            Stated::Given(it) => {
                for (name, coefficient) in it.named() {
                    plain.stated(text, name, coefficient, |it| *it, compared.complete);
                }
            }
            Stated::Withheld(why) => {
                plain.write(text, "intraclass", &Default::default(), compared.complete, why.word());
            }
        }
    }

    fn pair(&self, text: &mut String, pair: &Pair) {
        let n = pair.n;
        self.stated(text, "dahlberg", &pair.dahlberg, |it| it.error, n);
        match &pair.bland_altman {
            Stated::Given(it) => {
                self.given(text, "bias", it.bias, n);
                let sd = [number(Some(it.sd)), String::new(), String::new()];
                self.write(text, "sd_of_differences", &sd, n, "");
                for (limit, name, mover) in [
                    (it.lower, "limit_lower", "limit_lower_mover"),
                    (it.upper, "limit_upper", "limit_upper_mover"),
                ] {
                    self.given(text, name, limit.limit, n);
                    let other = Bounded { value: limit.limit.value, interval: limit.interval_mover };
                    self.given(text, mover, other, n);
                }
            }
            Stated::Withheld(why) => {
                self.write(text, "bias", &Default::default(), n, why.word());
            }
        }
        let plain = Self { unit: "1", ..*self };
        plain.stated(text, "concordance", &pair.concordance, |it| it.coefficient, n);
    }
}
