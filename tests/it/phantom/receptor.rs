//! What the receptor makes of a beam: contrast, noise, and the same bytes on any number of threads.

use super::{aimed, beam, film, grey_at, made, plain, small};
use crestgauge::geometry::Position;
use crestgauge::phantom::{Beside, Material, Recipe, Response, Thickness};
use crestgauge::quantity::Millimetres;

/// Mean and sd of the grey values in the upper left corner, where only air and cheek lie, as parts of the full range.
fn corner(response: &Response) -> (f64, f64) {
    let tooth = made(&Recipe::default(), "41", 2);
    let picture = film(&tooth, &aimed(&tooth, &small(0.06, 420, 660)), response, 5, 2);
    let places = (2..72).flat_map(|y| (2..72).map(move |x| (f64::from(x), f64::from(y))));
    let values: Vec<f64> = places.map(|(x, y)| grey_at(&picture, Position::new(x + 0.5, y + 0.5))).collect();
    let count = 70.0 * 70.0;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (mean, (squares / (count - 1.0)).sqrt())
}

/// The slope of the response, from its formula: −1 / ((s + toe) ln(1 + 1/toe)).
fn slope(response: &Response, signal: f64) -> f64 {
    1.0 / ((signal + response.toe) * (1.0 + 1.0 / response.toe).ln())
}

#[test]
fn quanta_gains_and_electronics_add_up_to_the_noise() {
    let signal = 0.5;
    for quanta in [400.0, 4000.0] {
        let response = Response { quanta, gain: 0.004, electronics: 0.002, exposure: signal, ..plain() };
        let (mean, sd) = corner(&response);
        assert!((mean - response.brightness(signal)).abs() < 0.002, "{mean}");
        // Poisson: a signal of s is s·quanta counted, with that variance.
        let counted = slope(&response, signal) * (signal / quanta + (0.004 * signal).powi(2)).sqrt();
        let rounding = 1.0 / 4095.0 / 12.0_f64.sqrt();
        let expected = (counted.powi(2) + 0.002_f64.powi(2) + rounding.powi(2)).sqrt();
        assert!((sd / expected - 1.0).abs() < 0.05, "{quanta}: {sd}, not {expected}");
    }
}

/// A Gaussian blur of sd σ leaves 1/(4πσ²) of the variance of white noise.
#[test]
fn blur_smooths_the_noise_of_quanta() {
    let response = Response { quanta: 300.0, exposure: 0.5, ..plain() };
    let (_, sharp) = corner(&response);
    let (_, blurred) = corner(&Response { blur_px: 1.5, ..response });
    let expected = 1.0 / (4.0 * std::f64::consts::PI * 1.5 * 1.5);
    let left = (blurred / sharp).powi(2);
    assert!((left / expected - 1.0).abs() < 0.15, "{left}, not {expected}");
}

/// Through the middle of a small ball the ray meets its diameter: the caster against the law, cheek for cheek.
#[test]
fn a_balls_middle_is_as_bright_as_its_diameter_makes_it() {
    let diameter = 0.6;
    let recipe = Recipe { beside: Some(Beside::Ball { diameter_mm: diameter }), ..Recipe::default() };
    let tooth = made(&recipe, "21", 3);
    let exposure = aimed(&tooth, &small(0.04, 500, 800));
    let response = Response { exposure: 0.9, bits: 16, ..plain() };
    let picture = film(&tooth, &exposure, &response, 3, 2);
    let at = exposure.project(tooth.beside_at()).unwrap();
    let grey = grey_at(&picture, at);
    let toe = response.toe;
    let signal = toe * (((1.0 - grey) * (1.0 + 1.0 / toe).ln()).exp() - 1.0);
    let behind = |cheek: f64| {
        let cheek = Thickness::NOTHING.with(Material::SoftTissue, Millimetres(cheek));
        let ball = cheek.with(Material::StainlessSteel, Millimetres(diameter));
        0.9 * beam().left_behind(&ball) / beam().left_behind(&cheek)
    };
    // Cheeks are 8 to 12 mm, and harden the beam a little.
    let (thin, thick) = (behind(8.0), behind(12.0));
    assert!((0.99 * thin..1.03 * thick).contains(&signal), "{signal}, not {thin} to {thick}");
}

#[test]
fn the_same_seed_gives_the_same_grey_values_on_any_number_of_threads() {
    let tooth = made(&Recipe::default(), "46", 9);
    let exposure = aimed(&tooth, &small(0.2, 130, 170));
    let first = film(&tooth, &exposure, &Response::default(), 9, 1);
    for threads in [2, 3, 7, 64] {
        assert_eq!(film(&tooth, &exposure, &Response::default(), 9, threads), first, "{threads}");
    }
    assert_ne!(film(&tooth, &exposure, &Response::default(), 10, 2), first);
}

#[test]
fn the_response_falls_from_white_to_black() {
    let response = Response::default();
    assert_eq!(response.brightness(0.0), 1.0);
    assert!(response.brightness(1.0).abs() < 1e-12);
    assert_eq!(response.brightness(3.0), response.brightness(1.0));
    let falls = (0..100).all(|at| {
        response.brightness(f64::from(at) / 100.0) > response.brightness(f64::from(at + 1) / 100.0)
    });
    assert!(falls);
}
