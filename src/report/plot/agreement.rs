//! Plots of agreement: bias and limits of agreement of a measurement, differences of a landmark's place beside the tooth.

use super::{
    Anchor, BOTTOM, DASHES, DOTS, Frame, Ink, LEFT, Label, Plot, PlotMark, RIGHT, Range, TOP, fixed,
};
use crate::agreement::{Between, BlandAltman, Bounded, Comparison, Component, Limit, Pair, Quantity};
use crate::wording::decimals;

/// What stands beside a plot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlotTitle {
    /// What was compared, with its unit: "ferrule height, mesial".
    pub quantity: String,
    /// Its unit; empty for a ratio.
    pub unit: String,
    /// The first of the two compared.
    pub first: String,
    /// The second.
    pub second: String,
}

impl PlotTitle {
    fn with_unit(&self, words: &str) -> String {
        if self.unit.is_empty() { words.to_owned() } else { format!("{words} ({})", self.unit) }
    }
}

/// Differences over means with bias and limits of agreement, each with its 95 % interval as a band.
pub fn bland_altman_plot(title: &PlotTitle, of: &BlandAltman) -> Plot {
    let across = Range::over(of.points.iter().map(|[mean, _]| *mean), 0.06);
    let ends = [of.lower.limit.interval[0], of.upper.limit.interval[1], 0.0];
    let up = Range::over(of.points.iter().map(|[_, difference]| *difference).chain(ends), 0.06);
    let mut plot = Plot::new(&format!("{}: {} and {}", title.quantity, title.first, title.second));
    let heading = format!("{}: {} and {}", title.quantity, title.first, title.second);
    plot.heading(&heading, &format!("n = {}; bands are 95 % intervals", of.n));
    let frame = Frame { across, up };
    plot.axes(
        &frame,
        &title.with_unit("mean of the two"),
        &title.with_unit(&format!("{} \u{2212} {}", title.first, title.second)),
    );
    let digits = decimals(of.sd).clamp(2, 3);
    plot.band(&frame, of.upper.limit, Ink::Limit);
    plot.band(&frame, of.lower.limit, Ink::Limit);
    plot.band(&frame, of.bias, Ink::Bias);
    plot.level(&frame, 0.0, Ink::Faint, Some(DOTS), None);
    let label = |name: &str, value: f64| Some((name.to_owned(), fixed(value, digits)));
    let mut labels = Labels::default();
    for (value, colour, dashes, label) in [
        (of.upper.limit.value, Ink::Limit, Some(DASHES), label("bias + 1.96 sd", of.upper.limit.value)),
        (of.bias.value, Ink::Bias, None, label("bias", of.bias.value)),
        (
            of.lower.limit.value,
            Ink::Limit,
            Some(DASHES),
            label("bias \u{2212} 1.96 sd", of.lower.limit.value),
        ),
    ] {
        plot.level(&frame, value, colour, dashes, label.map(|label| labels.place(frame.y(value), label)));
    }
    for [mean, difference] in &of.points {
        plot.dot(frame.x(*mean), frame.y(*difference));
    }
    plot.says = format!(
        "{} \u{2212} {}, n = {}: {}",
        title.first,
        title.second,
        of.n,
        limits_words(of, title.unit.as_str())
    );
    plot
}

/// Where the first of two placed a landmark, seen from the second: across the tooth to the right, along it downwards, in
/// one scale, with bias and limits of both components.
pub fn places_plot(title: &PlotTitle, along: &BlandAltman, across: &BlandAltman) -> Plot {
    let points: Vec<[f64; 2]> =
        across.points.iter().zip(&along.points).map(|([_, across], [_, along])| [*across, *along]).collect();
    let limits = |it: &BlandAltman| [it.lower.limit.value, it.upper.limit.value];
    let ends = limits(along).into_iter().chain(limits(across)).chain([0.0]);
    let reach =
        points.iter().flatten().copied().chain(ends).fold(0.0_f64, |most, it| most.max(it.abs())) * 1.1;
    let reach = if reach > 0.0 { reach } else { 1.0 };
    let half_width = reach * (RIGHT - LEFT) / (BOTTOM - TOP);
    let frame = Frame {
        across: Range { low: -half_width, high: half_width },
        // Apical is positive and points down, as on a film of a lower tooth.
        up: Range { low: reach, high: -reach },
    };
    let mut plot = Plot::new(&format!("{}: {} and {}", title.quantity, title.first, title.second));
    plot.heading(
        &format!("{}: {} \u{2212} {}", title.quantity, title.first, title.second),
        &format!("n = {}; cross: bias with 95 % intervals; dashed: limits of agreement", along.n),
    );
    plot.axes(
        &frame,
        "across the tooth (mm): mesial \u{2190} \u{2192} distal",
        "along the tooth (mm): apical \u{2190} \u{2192} coronal",
    );
    plot.level(&frame, 0.0, Ink::Faint, Some(DOTS), None);
    plot.upright(&frame, 0.0);
    let ([left, right], [coronal, apical]) = (limits(across), limits(along));
    let (left, right) = (frame.x(left), frame.x(right));
    let (coronal, apical) = (frame.y(coronal), frame.y(apical));
    plot.marks.push(PlotMark::Rectangle {
        place: [left.min(right), coronal.min(apical), (right - left).abs(), (apical - coronal).abs()],
        ink: Ink::Limit,
    });
    for [across, along] in &points {
        plot.dot(frame.x(*across), frame.y(*along));
    }
    let (x, y) = (frame.x(across.bias.value), frame.y(along.bias.value));
    let [x_low, x_high] = across.bias.interval.map(|end| frame.x(end));
    let [y_low, y_high] = along.bias.interval.map(|end| frame.y(end));
    plot.line([x_low, y, x_high, y], Ink::Bias, 5.0, None);
    plot.line([x, y_low, x, y_high], Ink::Bias, 5.0, None);
    let digits = |it: &BlandAltman| decimals(it.sd).clamp(2, 3);
    let side = [
        ("along: bias", along.bias.value, digits(along)),
        ("along: sd", along.sd, digits(along)),
        ("across: bias", across.bias.value, digits(across)),
        ("across: sd", across.sd, digits(across)),
    ];
    for (row, (name, value, digits)) in (0_u8..).zip(side) {
        let y = TOP + 20.0 + 80.0 * f64::from(row);
        plot.words(RIGHT + 24.0, y, Anchor::Start, 26.0, name);
        plot.words(RIGHT + 24.0, y + 30.0, Anchor::Start, 26.0, &format!("{} mm", fixed(value, digits)));
    }
    plot.says = format!(
        "{} \u{2212} {}, n = {}: along the tooth, apical positive, {}; across it, distal positive, {}",
        title.first,
        title.second,
        along.n,
        limits_words(along, "mm"),
        limits_words(across, "mm")
    );
    plot
}

/// Bias and limits of agreement, each with its 95 % interval.
fn limits_words(of: &BlandAltman, unit: &str) -> String {
    let digits = decimals(of.sd).clamp(2, 3);
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let one = |it: Bounded| {
        let [low, high] = it.interval.map(|end| fixed(end, digits));
        format!("{}{unit} ({low} to {high})", fixed(it.value, digits))
    };
    format!("bias {}, limits of agreement {} and {}", one(of.bias), one(of.lower.limit), one(of.upper.limit))
}

/// [`bland_altman_plot`] as SVG.
pub fn bland_altman_svg(title: &PlotTitle, of: &BlandAltman) -> String {
    bland_altman_plot(title, of).svg()
}

/// [`places_plot`] as SVG.
pub fn places_svg(title: &PlotTitle, along: &BlandAltman, across: &BlandAltman) -> String {
    places_plot(title, along, across).svg()
}

/// Labels at the right edge, kept apart.
#[derive(Default)]
struct Labels {
    last: Option<f64>,
}

impl Labels {
    /// The next label down the page, as near to `y` as the last one leaves room.
    fn place(&mut self, y: f64, (name, value): (String, String)) -> Label {
        let y = self.last.map_or(y, |last| y.max(last + 66.0));
        self.last = Some(y);
        (name, value, y)
    }
}

impl From<Limit> for Bounded {
    fn from(limit: Limit) -> Self {
        limit.limit
    }
}

/// The plots of a comparison, one a quantity and pair, each with the name of its file; a landmark's two components share
/// one, and a pair that is withheld has none.
pub fn agreement_plots(comparison: &Comparison) -> Vec<(String, Plot)> {
    let wanted = |it: &&crate::agreement::Compared| it.quantity.component() != Some(Component::Across);
    let quantities = comparison.quantities.iter().filter(wanted);
    quantities
        .flat_map(|compared| (0..compared.pairs.len()).map(move |pair| (compared, pair)))
        .filter_map(|(compared, pair)| pair_plot(comparison, &compared.quantity, pair))
        .collect()
}

/// The plot of one quantity and pair, with the name of its file; `None` where the pair's limits are withheld.
pub fn pair_plot(comparison: &Comparison, quantity: &Quantity, index: usize) -> Option<(String, Plot)> {
    let given = |component: Option<Component>| {
        let is_it = |it: &Quantity| it.id() == quantity.id() && it.component() == component;
        let compared = comparison.quantities.iter().find(|it| is_it(&it.quantity))?;
        let pair = compared.pairs.get(index)?;
        Some((pair, pair.bland_altman.given()?))
    };
    let title = |pair: &Pair, words: String| PlotTitle {
        quantity: words,
        unit: quantity.unit().suffix().to_owned(),
        first: named(comparison, &pair.first),
        second: named(comparison, &pair.second),
    };
    let (pair, plot) = if quantity.component().is_some() {
        let (pair, along) = given(Some(Component::Along))?;
        let (_, across) = given(Some(Component::Across))?;
        (pair, places_plot(&title(pair, Quantity::words_of(quantity.id())), along, across))
    } else {
        let (pair, of) = given(None)?;
        (pair, bland_altman_plot(&title(pair, quantity.spoken()), of))
    };
    Some((file_name(comparison, quantity.id(), pair), plot))
}

/// A column in a plot's words: a sitting with its observer.
fn named(comparison: &Comparison, column: &str) -> String {
    match (comparison.between, &comparison.observer) {
        (Between::Sittings, Some(observer)) => format!("{observer}, {column}"),
        _ => column.to_owned(),
    }
}

fn file_name(comparison: &Comparison, id: &str, pair: &Pair) -> String {
    let plain = |text: &str| -> String {
        text.chars().map(|it| if it.is_alphanumeric() || "._-@".contains(it) { it } else { '-' }).collect()
    };
    let [first, second] = [&pair.first, &pair.second].map(|column| plain(&named(comparison, column)));
    format!("{}--{first}--{second}.svg", plain(id))
}
