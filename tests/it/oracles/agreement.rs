//! Repeat statistics against published data and named versions of reference libraries.

use super::{Oracle, numbers};
use crate::support::text;
use crestgauge::agreement::{
    Bounded, Intraclass, Stated, Withheld, bland_altman, concordance, dahlberg, intraclass, mean_squares,
    smallest_detectable_change, within,
};
use serde_json::Value;

fn pairs(oracle: &Oracle, first: &str, second: &str) -> Vec<[f64; 2]> {
    let (first, second) = (oracle.list(&format!("inputs/{first}")), oracle.list(&format!("inputs/{second}")));
    first.into_iter().zip(second).map(|(one, other)| [one, other]).collect()
}

fn interval_agrees(oracle: &Oracle, ours: [f64; 2], path: &str) {
    for (index, end) in ours.into_iter().enumerate() {
        oracle.agrees(end, &format!("{path}/{index}"));
    }
}

/// 17 subjects, peak expiratory flow by two meters: bias, limits at 2 sd and their standard errors as the paper works
/// them; ours have the quantile 1.96 and the variance of 1999, so the paper's are reached through bias and sd.
#[test]
fn peak_flow_of_bland_and_altman_1986() {
    let oracle = Oracle::of("C01");
    let ours = bland_altman(&pairs(&oracle, "wright_1", "mini_1")).unwrap();
    oracle.agrees(ours.bias.value, "mean_diff");
    oracle.agrees(ours.sd, "sd");
    interval_agrees(&oracle, ours.bias.interval, "ci_mean");
    interval_agrees(&oracle, [-2.0, 2.0].map(|z| ours.bias.value + z * ours.sd), "loa");
    let r = concordance(&pairs(&oracle, "wright_1", "mini_1")).unwrap().precision;
    oracle.agrees(r, "r");
    // The paper's interval of a limit: ± t √(3 s²/n) about it, 2 sd from the bias; ours lies within 5 % of its width.
    for (limit, path) in [(ours.lower, "ci_lower"), (ours.upper, "ci_upper")] {
        let [low, high] = limit.limit.interval;
        let published = oracle.expected(&format!("{path}/1")) - oracle.expected(&format!("{path}/0"));
        assert!(((high - low) / published - 1.0).abs() < 0.05, "{path}: {}", high - low);
    }
}

#[test]
fn limits_at_1_96_sd_and_their_intervals() {
    let oracle = Oracle::of("C02");
    let ours = bland_altman(&pairs(&oracle, "wright_1", "mini_1")).unwrap();
    oracle.agrees(ours.bias.value, "mean_diff");
    oracle.agrees(ours.sd, "sd");
    interval_agrees(&oracle, [ours.lower.limit.value, ours.upper.limit.value], "loa");
    oracle.agrees(ours.upper.limit.interval[1], "upper_ci_hi_delta");
    let swapped = bland_altman(&pairs(&oracle, "mini_1", "wright_1")).unwrap();
    Oracle::of("C03").agrees(swapped.upper.interval_mover[1], "upper_loa_ci_hi");
}

/// Dahlberg's error is the sd of duplicates about no difference, over √2; twice that sd is the paper's repeatability.
#[test]
fn dahlbergs_error_and_the_repeatability_of_both_meters() {
    let (computed, published) = (Oracle::of("C05"), Oracle::of("C04"));
    for meter in ["wright", "mini"] {
        let pairs = pairs(&computed, &format!("{meter}_1"), &format!("{meter}_2"));
        let error = dahlberg(&pairs).unwrap().error;
        computed.agrees(error.value, &format!("dahlberg_{meter}"));
        let about_zero = error.value * std::f64::consts::SQRT_2;
        published.agrees(about_zero, &format!("sd_{meter}"));
        published.agrees(2.0 * about_zero, &format!("rc_{meter}"));
        let within = within(pairs.iter().map(<[f64; 2]>::as_slice)).unwrap();
        assert!((within.sd.value - error.value).abs() < 1e-12, "of duplicates the two are the same");
        let change = smallest_detectable_change(&within);
        assert!((change.value - computed.expected(&format!("rc_196_{meter}"))).abs() < 1e-4);
    }
}

fn six(ours: &Intraclass) -> [(&'static str, &'static str, Bounded); 6] {
    let given = |it: &Stated<Bounded>| *it.given().unwrap();
    [
        ("ICC11", "ICC(1,1)", given(&ours.icc_1_1)),
        ("ICC21_A1", "ICC(A,1)", given(&ours.icc_2_1)),
        ("ICC31_C1", "ICC(C,1)", given(&ours.icc_3_1)),
        ("ICC1k", "ICC(1,k)", given(&ours.icc_1_k)),
        ("ICC2k_Ak", "ICC(A,k)", given(&ours.icc_2_k)),
        ("ICC3k_Ck", "ICC(C,k)", given(&ours.icc_3_k)),
    ]
}

#[test]
fn six_targets_and_four_judges_of_shrout_and_fleiss_1979() {
    let oracle = Oracle::of("C08");
    let rows = oracle.rows("ratings_6x4");
    let squares = mean_squares(&rows).unwrap();
    let published = Oracle::of("C09");
    for (ours, path) in
        [(squares.teeth, "BMS"), (squares.within, "WMS"), (squares.columns, "JMS"), (squares.residual, "EMS")]
    {
        published.agrees(ours, path);
    }
    let ours = intraclass(&rows).unwrap();
    let (two_sided, trap) = (Oracle::of("C10"), Oracle::of("C11"));
    for (path, _, coefficient) in six(&ours) {
        oracle.agrees(coefficient.value, path);
        interval_agrees(&two_sided, coefficient.interval, path);
        let finer = two_sided.list(&format!("recomputed/{path}"));
        for (end, expected) in coefficient.interval.iter().zip(finer) {
            assert!((end - expected).abs() < 1e-8, "{path}: {end}, not {expected}");
        }
        // A package prints 90 % limits as 95 %; ours must not be those.
        assert!(coefficient.interval[0] < trap.expected(&format!("{path}/0")) - 0.01, "{path}");
    }
}

#[test]
fn lins_concordance_of_peak_flow() {
    let oracle = Oracle::of("C12");
    let ours = concordance(&pairs(&oracle, "x", "y")).unwrap();
    oracle.agrees(ours.coefficient.value, "ccc");
    oracle.agrees(ours.precision, "precision_r");
    oracle.agrees(ours.accuracy, "accuracy_Cb");
    oracle.agrees(ours.standard_error, "se");
    // By Fisher's z, from the note of the entry.
    for (end, expected) in ours.coefficient.interval.into_iter().zip([0.850_492, 0.978_726]) {
        assert!((end - expected).abs() < 5e-6, "{end}, not {expected}");
    }
}

fn close(ours: f64, reference: &Value, what: &str) {
    let reference = reference.as_f64().unwrap();
    assert!((ours - reference).abs() <= 1e-9 * reference.abs().max(1.0), "{what}: {ours}, not {reference}");
}

#[test]
fn invented_readings_of_four_shapes_against_pingouin_and_scipy() {
    let reference: Value = serde_json::from_str(&text("agreement/reference.json")).unwrap();
    for table in reference["tables"].as_array().unwrap() {
        let rows: Vec<Vec<f64>> = table["rows"].as_array().unwrap().iter().map(numbers).collect();
        for (_, name, ours) in six(&intraclass(&rows).unwrap()) {
            let theirs = &table["intraclass"][name];
            close(ours.value, &theirs["value"], name);
            for (end, expected) in ours.interval.into_iter().zip(theirs["interval"].as_array().unwrap()) {
                close(end, expected, &format!("{name} of {} rows", rows.len()));
            }
        }
        let pairs: Vec<[f64; 2]> = rows.iter().map(|row| [row[0], row[1]]).collect();
        let (ours, theirs) = (bland_altman(&pairs).unwrap(), &table["first_two_columns"]);
        close(ours.bias.value, &theirs["bias"], "bias");
        close(ours.bias.interval[0], &theirs["bias_interval"][0], "bias, low");
        close(ours.bias.interval[1], &theirs["bias_interval"][1], "bias, high");
        close(ours.sd, &theirs["sd"], "sd");
        close(concordance(&pairs).unwrap().precision, &theirs["pearson"], "correlation");
    }
}

#[test]
fn too_few_readings_give_a_reason_and_no_number() {
    let one = [[1.0, 1.2]];
    let pairs = |has| Withheld::TooFewPairs { needs: 2, has };
    assert_eq!(bland_altman(&one), Err(pairs(1)));
    assert_eq!(bland_altman(&[]), Err(pairs(0)));
    assert_eq!(dahlberg(&one), Err(pairs(1)));
    assert_eq!(concordance(&[[1.0, 1.2], [2.0, 2.1]]), Err(Withheld::TooFewPairs { needs: 3, has: 2 }));
    assert_eq!(within([[1.0].as_slice(), &[2.0]]), Err(Withheld::NoRepeats));
    assert_eq!(intraclass(&[vec![1.0, 2.0]]), Err(Withheld::TooFewComplete { needs: 2, has: 1 }));
    assert_eq!(intraclass(&[vec![1.0], vec![2.0]]), Err(Withheld::NoRepeats));
}

#[test]
fn readings_that_cannot_be_told_apart_give_a_reason_and_no_number() {
    let same = vec![vec![3.0, 3.0]; 5];
    assert_eq!(intraclass(&same), Err(Withheld::NoSpread));
    let exact: Vec<Vec<f64>> = (0..5).map(|tooth| vec![f64::from(tooth); 2]).collect();
    assert_eq!(intraclass(&exact), Err(Withheld::NoScatter));
    assert_eq!(concordance(&[[3.0, 3.0]; 5]), Err(Withheld::NoSpread));
    assert_eq!(concordance(&[[1.0, 1.0], [2.0, 2.0], [4.0, 4.0]]), Err(Withheld::NoScatter));
}
