//! Average permanent teeth: only to notice a scale that makes an impossible tooth, never as a scale.

use crate::case::Fdi;
use crate::quantity::Millimetres;

/// Lengths of an average tooth. Single teeth differ from it by 3 to 4 mm (common practice).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AverageTooth {
    /// Whether it stands in the upper jaw.
    pub is_upper: bool,
    /// Second digit of the ISO 3950 designation.
    pub position: u8,
    /// Crown length.
    pub crown: Millimetres,
    /// Root length; of the longest root.
    pub root: Millimetres,
    /// Mesiodistal width at the cervix.
    pub cervix: Millimetres,
    /// Where the numbers come from.
    pub source: &'static str,
}

const fn tooth(
    is_upper: bool,
    position: u8,
    crown: f64,
    root: f64,
    cervix: f64,
    source: &'static str,
) -> AverageTooth {
    AverageTooth {
        is_upper,
        position,
        crown: Millimetres(crown),
        root: Millimetres(root),
        cervix: Millimetres(cervix),
        source,
    }
}

/// The teeth with known averages; third molars have none worth the name.
pub const AVERAGE_TEETH: &[AverageTooth] = &[
    tooth(true, 1, 10.5, 13.0, 7.0, "Wheeler, drawing table, as printed by a teaching text"),
    tooth(true, 2, 9.0, 13.0, 5.0, "Wheeler, drawing table, as printed by a teaching text"),
    tooth(true, 3, 10.0, 17.0, 5.5, "lengths from a general page; width at the cervix from memory"),
    tooth(true, 4, 8.5, 14.0, 5.0, "lengths from a cited norm; width at the cervix from memory"),
    tooth(true, 5, 8.5, 14.0, 5.0, "Wheeler, as printed on teaching cards"),
    tooth(true, 6, 7.5, 13.0, 8.0, "Wheeler, as printed on teaching cards; the palatal root"),
    tooth(true, 7, 7.0, 12.0, 7.0, "Wheeler, from memory; the palatal root"),
    tooth(false, 1, 9.0, 12.5, 3.5, "Wheeler, from memory"),
    tooth(false, 2, 9.5, 14.0, 4.0, "Wheeler, from memory"),
    tooth(false, 3, 11.0, 16.0, 5.5, "Wheeler, from memory"),
    tooth(false, 4, 8.5, 14.0, 5.0, "Wheeler, from memory"),
    tooth(false, 5, 8.0, 14.5, 5.0, "Wheeler, from memory"),
    tooth(false, 6, 7.5, 14.0, 9.0, "Wheeler, from memory"),
    tooth(false, 7, 7.0, 13.0, 8.0, "Wheeler, from memory"),
];

/// The average tooth of this designation.
pub fn average(tooth: Fdi) -> Option<&'static AverageTooth> {
    AVERAGE_TEETH.iter().find(|it| it.is_upper == tooth.is_upper() && it.position == tooth.position())
}
