//! Synthetic films of teeth whose every length is known: from parameters and a seed to a tooth in space, to what rays
//! through it leave on a receptor, to a case whose landmarks are the truth.
//!
//! A [`Tooth`] is parameters; [`Tooth::landmarks`] says where its landmarks lie in space, [`Exposure::project`] where a
//! point is projected to on the film, and [`true_values`] what every measurement of the catalogue is in space. Nothing here
//! knows files.

mod beam;
mod body;
mod bone;
mod case;
mod chair;
mod chance;
mod contradictions;
mod definition;
mod exercise;
mod exposure;
mod form;
mod landmarks;
mod material;
mod mesh;
mod receptor;
mod recipe;
mod rims;
mod scene;
mod section;
mod solid;
mod space;
mod tooth;
mod treatment;
mod truth;

pub use beam::{Beam, NoBeam, Thickness};
pub use case::{FilmNote, StatedScale, truth_case};
pub use chair::ProbedWall;
pub use chance::Chance;
pub use definition::{DEFINITION_SIZE, DEFINITIONS, Definition};
pub use exercise::{Amount, Difficulty, EXERCISE_WIRE, Exercise, ToothKind, exercise};
pub use exposure::{Aim, Exposure, NoExposure, Receptor};
pub use landmarks::{SpatialLandmarks, SpatialRoot, SpatialSection};
pub use material::{Attenuation, Material, NoAttenuation};
pub use receptor::{Response, expose};
pub use recipe::Recipe;
pub use scene::Scene;
pub use space::{Point3, Vector3};
pub use tooth::{CrownForm, Flank, Furcation, Impossible, Place, RootForm, Tooth};
pub use treatment::{
    Beside, Core, CrownKind, Filling, Instrument, PlannedPost, Post, PostKind, PostSpace, PostTip, Treatment,
};
pub use truth::{TrueValue, true_values, true_values_of};
