//! Practice as it is drawn: what is wished for, the strip over the worksheet, the comparison beside the film and on it,
//! learning curves.

pub(in crate::viewer) mod comparison;
pub(in crate::viewer) mod curves;
pub(in crate::viewer) mod strip;
pub(in crate::viewer) mod vectors;
pub(in crate::viewer) mod window;
