//! DICOM films. Expected values come from reference decoders, from files whose values are known, or from the standard.

mod code_streams;
mod display;
mod hostile;
mod make;
mod privacy;
mod public;
mod spacing;
mod written;
