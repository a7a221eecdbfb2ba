//! Films of known truth: physics against closed forms and published tables, anatomy against itself, films against both.

mod anatomy;
mod attenuation;
mod command;
mod definitions;
mod exercises;
mod films;
mod projection;
mod receptor;
mod recipes;
mod samples;

use crestgauge::case::{Case, Fdi, Stage, Technique};
use crestgauge::film::Picture;
use crestgauge::geometry::{Position, Stored};
use crestgauge::phantom::{
    Aim, Attenuation, Beam, Exposure, FilmNote, Point3, Recipe, Response, Scene, StatedScale, Tooth, expose,
    truth_case,
};
use crestgauge::quantity::Millimetres;
use std::num::NonZeroUsize;

/// The grey value of the pixel a position falls into, 0 to 1.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place outside has no grey value"
)]
fn grey_at(picture: &Picture, at: Position<Stored>) -> f64 {
    let grey = picture.at(at.x as u32, at.y as u32).unwrap_or_else(|| panic!("{at:?} is not on the film"));
    f64::from(grey) / f64::from(picture.largest_possible())
}

fn fdi(text: &str) -> Fdi {
    Fdi::parse(text).unwrap()
}

fn beam() -> Beam {
    Beam::of_tube(&Attenuation::embedded().unwrap(), 70.0, Millimetres(2.0)).unwrap()
}

/// A receptor without noise, blur and scattered rays.
fn plain() -> Response {
    Response {
        quanta: f64::INFINITY,
        scatter: 0.0,
        blur_px: 0.0,
        electronics: 0.0,
        gain: 0.0,
        ..Response::default()
    }
}

/// An aim whose film is this many pixels of this pitch.
fn small(pitch: f64, width_px: u32, height_px: u32) -> Aim {
    Aim { pitch: Millimetres(pitch), width_px, height_px, ..Aim::default() }
}

fn aimed(tooth: &Tooth, aim: &Aim) -> Exposure {
    let apex = tooth.roots.iter().map(|root| root.apex_mm).fold(0.0, f64::max);
    let middle = Point3::new(0.0, 0.0, 0.5 * (apex - tooth.crown.length_mm));
    Exposure::aimed(tooth.fdi, middle, aim).unwrap()
}

fn made(recipe: &Recipe, tooth: &str, seed: u64) -> Tooth {
    recipe.tooth(fdi(tooth), seed).unwrap_or_else(|error| panic!("{tooth} {seed}: {error}"))
}

fn film(tooth: &Tooth, exposure: &Exposure, response: &Response, seed: u64, threads: usize) -> Picture {
    let threads = NonZeroUsize::new(threads).unwrap();
    expose(&Scene::of(tooth, seed), exposure, &beam(), response, seed, threads).unwrap()
}

fn case_of(tooth: &Tooth, exposure: &Exposure, stage: Stage) -> Case {
    let note = FilmNote {
        file: "film.png".to_owned(),
        sha256: "0".repeat(64),
        stage,
        technique: Some(Technique::Paralleling),
        scale: StatedScale::Pitch,
        seed: 0,
        is_at_chair: false,
    };
    truth_case(tooth, exposure, &note)
}
