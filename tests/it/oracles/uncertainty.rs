//! Propagation of uncertainty: exact derivatives, covariances, shared inputs, and Fieller's limits.

use super::{Oracle, exact, film, point};
use crate::support::{find, first_order, library};
use crestgauge::case::Case;
use crestgauge::measure::{Draws, Value};
use crestgauge::quantity::{Dual, Quotient, Scalar, normal_cdf};
use crestgauge::verdict::{Criteria, assess};
use serde_json::json;

/// The derivatives of a model of N inputs here, by the program's dual numbers.
fn slopes<const N: usize>(model: impl Fn([Dual; N]) -> Dual, at: [f64; N]) -> (f64, [f64; N]) {
    let mut slot = 0;
    let outcome = model(at.map(|value| {
        slot += 1;
        Dual::input(value, slot - 1)
    }));
    let mut slopes = [0.0; N];
    slopes.copy_from_slice(&outcome.slopes()[..N]);
    (outcome.value(), slopes)
}

/// JCGM 100:2008, 5.2.2: the covariance of two outputs, from their derivatives and the covariances of the inputs.
fn combined<const N: usize>(one: [f64; N], other: [f64; N], covariance: [[f64; N]; N]) -> f64 {
    one.iter()
        .zip(covariance)
        .map(|(by, row)| by * other.iter().zip(row).map(|(c, u)| c * u).sum::<f64>())
        .sum()
}

/// JCGM 100:2008, H.1: the end gauge.
#[test]
fn the_end_gauge_of_the_gum() {
    let oracle = Oracle::of("A01");
    let names = ["lS", "d", "alphaS", "theta", "dalpha", "dtheta"];
    let at = names.map(|name| oracle.given(&format!("{name}/x")));
    let (length, slopes) = slopes(
        |[standard, difference, expansion, temperature, expansion_difference, temperature_difference]| {
            standard + difference
                - standard * (expansion_difference * temperature + expansion * temperature_difference)
        },
        at,
    );
    oracle.agrees(length, "l");
    let mut variance = 0.0;
    for (index, (name, slope)) in names.into_iter().zip(slopes).enumerate() {
        let contribution = slope * oracle.given(&format!("{name}/u"));
        oracle.agrees(contribution.abs(), &format!("contributions_lS_d_alphaS_theta_dalpha_dtheta/{index}"));
        variance += contribution * contribution;
    }
    oracle.agrees(variance.sqrt(), "uc");
}

/// Mean of each input of JCGM 100:2008, H.2, and the covariances of the means.
fn impedance_inputs(oracle: &Oracle) -> ([f64; 3], [[f64; 3]; 3]) {
    let sets = ["V_volt", "I_amp", "phi_rad"].map(|name| oracle.list(&format!("inputs/{name}")));
    let means = sets.each_ref().map(|set| set.iter().sum::<f64>() / 5.0);
    let covariance = [0, 1, 2].map(|i| {
        [0, 1, 2].map(|j| {
            let products = sets[i].iter().zip(&sets[j]).map(|(a, b)| (a - means[i]) * (b - means[j]));
            products.sum::<f64>() / (5.0 * 4.0)
        })
    });
    (means, covariance)
}

fn impedance<S: Scalar>(quantity: char, [voltage, current, phase]: [S; 3]) -> S {
    match quantity {
        'R' => voltage / current * phase.cos(),
        'X' => voltage / current * phase.sin(),
        _ => voltage / current,
    }
}

/// JCGM 100:2008, H.2: three quantities from three correlated inputs, and how they are correlated in turn.
#[test]
fn simultaneous_resistance_and_reactance_of_the_gum() {
    let oracle = Oracle::of("A06");
    let (means, covariance) = impedance_inputs(&oracle);
    let [resistance, reactance, impedance] =
        ['R', 'X', 'Z'].map(|quantity| slopes(|inputs| impedance(quantity, inputs), means));
    let sd = |(_, slopes): (f64, [f64; 3])| combined(slopes, slopes, covariance).sqrt();
    for (name, found) in [("R", resistance), ("X", reactance), ("Z", impedance)] {
        oracle.agrees(found.0, name);
        oracle.agrees(sd(found), &format!("u{name}"));
    }
    let correlation = |one: (f64, [f64; 3]), other: (f64, [f64; 3])| {
        combined(one.1, other.1, covariance) / (sd(one) * sd(other))
    };
    oracle.agrees(correlation(resistance, reactance), "r_RX");
    oracle.agrees(correlation(resistance, impedance), "r_RZ");
    oracle.agrees(correlation(reactance, impedance), "r_XZ");
}

/// The negative control of the same example: without the covariances the uncertainty of R is 2.7 times too large.
#[test]
fn dropping_the_covariances_of_the_gum_example_lands_elsewhere() {
    let oracle = Oracle::of("A08");
    let (means, covariance) = impedance_inputs(&oracle);
    for (index, quantity) in ['R', 'X', 'Z'].into_iter().enumerate() {
        let (_, slopes) = slopes(|inputs| impedance(quantity, inputs), means);
        let dropped: f64 = (0..3).map(|input| slopes[input].powi(2) * covariance[input][input]).sum();
        oracle.agrees(dropped.sqrt(), &format!("u{quantity}"));
        let kept = combined(slopes, slopes, covariance).sqrt();
        let published = Oracle::of("A06").expected(["uR", "uX", "uZ"][index]);
        assert!((kept - published).abs() < 0.001 && (dropped.sqrt() - published).abs() > 0.03);
    }
}

/// NIST Technical Note 1900, example E13: a coefficient of thermal expansion.
#[test]
fn thermal_expansion_of_nist_tn_1900() {
    let oracle = Oracle::of("A17");
    let names = ["L0", "L1", "T0", "T1"];
    let (coefficient, slopes) = slopes(
        |[short, long, cold, warm]| (long - short) / (short * (warm - cold)),
        names.map(|name| oracle.given(&format!("{name}/0"))),
    );
    let parts = names.into_iter().zip(slopes).map(|(name, slope)| slope * oracle.given(&format!("{name}/1")));
    oracle.agrees(coefficient, "alpha");
    oracle.agrees(parts.map(|part| part * part).sum::<f64>().sqrt(), "u");
}

/// A length read off a film with an instrument beside it: value and sd of `post_length`, the instrument and the
/// post on one line, the far end of each carrying the whole uncertainty of its length on the film.
fn length_by_an_instrument(on_film: [f64; 2], instrument: [f64; 2], length_mm: [f64; 2]) -> (f64, f64) {
    let case = film(
        &json!([{
            "kind": "instrument",
            "points": [exact(400.0, 100.0), point(400.0, 100.0 + instrument[0], instrument[1])],
            "length_mm": length_mm[0],
            "length_sd_mm": length_mm[1]
        }]),
        &json!({}),
        &json!({"post_head": exact(400.0, 150.0), "post_tip": point(400.0, 150.0 + on_film[0], on_film[1])}),
        &json!([]),
    );
    let measured = first_order(&case);
    let row = find(&measured, "post_length|single");
    (row.value().unwrap(), row.sd().unwrap())
}

/// A published ratio times a known reference, which has the algebra of a length by an instrument: measured on the
/// film, over the instrument on the film, times the instrument's length. On the film in thousandths.
#[test]
fn a_published_ratio_times_a_known_reference() {
    let oracle = Oracle::of("A18");
    let input = |name: &str, factor: f64| {
        [oracle.given(&format!("{name}/0")) * factor, oracle.given(&format!("{name}/1")) * factor]
    };
    let (value, sd) = length_by_an_instrument(input("X1", 1e3), input("X2", 1e3), input("Yu", 1.0));
    oracle.agrees(value, "yc");
    oracle.agrees(sd, "u");
}

#[test]
fn a_length_calibrated_by_a_file() {
    let oracle = Oracle::of("A22");
    let input = |name: &str| [oracle.given(&format!("{name}/0")), oracle.given(&format!("{name}/1"))];
    let (value, sd) = length_by_an_instrument(input("N_root_px"), input("N_file_px"), input("L_file_mm"));
    oracle.agrees(value, "L");
    oracle.agrees(sd, "u");
}

/// Post below the margin over length of the root, both read with one scale: `post_to_root` of lengths in px.
fn two_lengths(post_px: [f64; 2], root_px: [f64; 2], mm_per_px: [f64; 2]) -> Case {
    film(
        &json!([{
            "kind": "instrument",
            "points": [exact(500.0, 100.0), exact(500.0, 1100.0)],
            "length_mm": mm_per_px[0] * 1e3,
            "length_sd_mm": mm_per_px[1] * 1e3
        }]),
        &json!({"finish_line.mesial": exact(400.0, 200.0), "finish_line.distal": exact(600.0, 200.0)}),
        &json!({
            "post_tip": point(500.0, 200.0 + post_px[0], post_px[1]),
            "apex": point(500.0, 200.0 + root_px[0], root_px[1])
        }),
        &json!([]),
    )
}

/// The uncertainty of a shared scale leaves a ratio; dropping the covariance would make it six times too large.
#[test]
fn a_shared_scale_cancels_in_a_ratio() {
    let oracle = Oracle::of("A23");
    let input = |name: &str| [oracle.given(&format!("{name}/0")), oracle.given(&format!("{name}/1"))];
    let measured = first_order(&two_lengths(input("Na_px"), input("Nb_px"), input("scale_mm_per_px")));
    let row = |name: &str| {
        let row = find(&measured, name);
        (row.value().unwrap(), row.sd().unwrap())
    };
    let (post, root) = (row("post_below_margin|single"), row("root_length|single"));
    let (ratio, sd) = row("post_to_root|single");
    for (ours, name) in [
        (post.0, "A_mm"),
        (post.1, "u_A"),
        (root.0, "B_mm"),
        (root.1, "u_B"),
        (ratio, "ratio"),
        (sd, "u_ratio"),
    ] {
        oracle.agrees(ours, name);
    }
    let Value { quotient: Some(quotient), .. } =
        find(&measured, "post_to_root|single").result.clone().unwrap()
    else {
        panic!("a ratio keeps its two parts");
    };
    oracle.agrees(quotient.covariance / (post.1 * root.1), "r_AB");
    let dropped = ratio * (post.1 / post.0).hypot(root.1 / root.0);
    oracle.agrees(dropped, "u_ratio_if_correlation_dropped");
    assert!(dropped > 6.0 * sd, "{dropped} {sd}");
}

/// How many standard uncertainties the numerator exceeds `bound` times the denominator by.
fn excess(quotient: &Quotient, bound: f64) -> f64 {
    let excess = quotient.excess_over(bound);
    excess.value / excess.sd
}

/// Fieller's limits are the bounds at which the excess is +t and −t; each must lie within the tolerance.
fn limits_are(oracle: &Oracle, quotient: &Quotient, factor: f64, lower: &str, upper: &str) {
    for (limit, wanted) in [(lower, factor), (upper, -factor)] {
        let (bound, tolerance) = (oracle.expected(limit), oracle.tolerance(limit));
        let (below, above) = (excess(quotient, bound - tolerance), excess(quotient, bound + tolerance));
        assert!(below >= wanted && wanted >= above, "{limit} {bound}: {below} {wanted} {above}");
    }
}

fn quotient_of(oracle: &Oracle) -> Quotient {
    Quotient {
        numerator: oracle.given("a"),
        denominator: oracle.given("b"),
        numerator_variance: oracle.given("se_a").powi(2),
        denominator_variance: oracle.given("se_b").powi(2),
        covariance: oracle.given("cov"),
    }
}

#[test]
fn published_fieller_limits() {
    let oracle = Oracle::of("B01");
    let quotient = quotient_of(&oracle);
    limits_are(&oracle, &quotient, oracle.expected("t"), "lower", "upper");
    let oracle = Oracle::of("B02");
    let variance =
        |group: &str| oracle.given(&format!("sd_{group}")).powi(2) / oracle.given(&format!("n_{group}"));
    let quotient = Quotient {
        numerator: oracle.given("mean_a"),
        denominator: oracle.given("mean_b"),
        numerator_variance: variance("a"),
        denominator_variance: variance("b"),
        covariance: 0.0,
    };
    // Student's t for 10 degrees of freedom, printed in JCGM 100:2008 table G.2 as 1.81, 2.23 and 3.17.
    for (level, factor) in [("ci90", 1.812_461), ("ci95", 2.228_139), ("ci99", 3.169_273)] {
        limits_are(&oracle, &quotient, factor, &format!("{level}/0"), &format!("{level}/1"));
    }
    let oracle = Oracle::of("B03");
    limits_are(&oracle, &quotient_of(&oracle), oracle.given("t"), "lower", "upper");
}

/// The probability with which `post_to_root` of a case is at most `bound`, as a verdict gives it.
fn probability_at_most(case: &Case, bound: f64) -> f64 {
    let criteria = format!(
        "name = \"one\"\nversion = 1\n[[criterion]]\nid = \"one\"\ntitle = \"one\"\n\
         measurement = \"post_to_root\"\nat_most = {bound:?}\nstrength = \"requirement\"\nsource = \"test\"\n"
    );
    let criteria = Criteria::parse("one.toml", &criteria).unwrap();
    let derived = assess(case, &library(), &criteria, Draws::default(), &[]).unwrap();
    derived.verdicts[0].probability.unwrap()
}

/// Correlated numerator and denominator, from the film to the verdict. The whole covariance is that of the shared
/// scale, at 0.02 mm per px; what is left of each variance is placing.
#[test]
fn a_verdict_is_given_at_fiellers_limits() {
    let oracle = Oracle::of("B03");
    let (post, root) = (oracle.given("a"), oracle.given("b"));
    let relative_variance = oracle.given("cov") / (post * root);
    let placing =
        |length: f64, sd: f64| [length / 0.02, (sd * sd - relative_variance * length * length).sqrt() / 0.02];
    let case = two_lengths(
        placing(post, oracle.given("se_a")),
        placing(root, oracle.given("se_b")),
        [0.02, 0.02 * relative_variance.sqrt()],
    );
    let outside = normal_cdf(-oracle.given("t"));
    for (limit, wanted) in [("lower", outside), ("upper", 1.0 - outside)] {
        let probability = probability_at_most(&case, oracle.expected(limit));
        assert!((probability - wanted).abs() < 1e-6, "{limit}: {probability} {wanted}");
    }
}

/// Where the denominator itself may be 0 (g ≥ 1) the quotient has no upper limit: no bound, however large, is held
/// with 97.5 %, and the first-order interval is marked doubtful.
#[test]
fn an_unbounded_quotient_is_marked_and_has_no_upper_limit() {
    let oracle = Oracle::of("B04");
    let (post, root, factor) = (oracle.given("a"), oracle.given("b"), oracle.given("t"));
    let quotient = quotient_of(&oracle);
    oracle.agrees((factor * quotient.denominator_relative_sd()).powi(2), "g");
    let case = two_lengths(
        [post / 0.02, oracle.given("se_a") / 0.02],
        [root / 0.02, oracle.given("se_b") / 0.02],
        [0.02, 0.0],
    );
    assert!(find(&first_order(&case), "post_to_root|single").first_order_is_doubtful());
    for bound in [3.0, 10.0, 100.0, 1e6, 1e12] {
        assert!(probability_at_most(&case, bound) < normal_cdf(factor), "{bound}");
    }
}
